"""Input sheets written out. May import: layout, models, paper, reading, whole_file, words."""
