"""The pages behind the drawing: tables, assessment, turning pages, quotation, bench card."""
