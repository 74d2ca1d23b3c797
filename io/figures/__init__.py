"""What a figure says: format, decimal mark, unit, currency. May import: layout, words."""
