"""What is written besides workbooks. May import: drawings, models, told, web_page, words."""
