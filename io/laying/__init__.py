"""The sheets for those who lay. May import: drawings, models, paper, told, words."""
