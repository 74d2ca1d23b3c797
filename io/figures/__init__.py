"""What a figure says: its format, decimal mark, unit and currency. May import: layout, words."""
