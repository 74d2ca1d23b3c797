"""Workbooks read, good and bad."""
