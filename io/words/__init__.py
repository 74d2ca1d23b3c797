"""What is said, to sheet, page and terminal alike. May import: models."""
