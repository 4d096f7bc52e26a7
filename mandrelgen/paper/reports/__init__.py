"""The pages behind the drawing: tables, assessment, turning pages, quotation, cards."""
