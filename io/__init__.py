"""What is written besides workbooks. May import: drawings, models, page_style, words."""
