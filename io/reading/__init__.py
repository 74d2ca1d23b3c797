"""Workbook in: bytes, cells, records, farm. May import: figures, layout, models, needs, words."""
