"""Solids on the OCP kernel, imported late: nothing here costs time until it is used."""
