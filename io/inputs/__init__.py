"""Written to be read back. May import: layout, models, paper, reading, whole_file, words."""
