"""The order workbook: sheets for those who buy and approve."""
