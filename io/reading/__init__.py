"""Workbook in: bytes, cells, records, farm. May import: layout, models, words."""
