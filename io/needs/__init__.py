"""What each command needs of a workbook, and its stand-ins. May import: layout, models."""
