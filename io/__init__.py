"""What is written besides workbooks. May import: drawings, models, told, words."""
