"""The doors: workbook in, workbook out, and the command line."""
