"""What a figure says: its number format, its decimal mark, its unit, its currency."""
