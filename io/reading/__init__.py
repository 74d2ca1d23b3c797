"""Workbook in: bytes, cells, records, farm."""
