"""What holdings rest on, as sheets. May import: models, paper, told, whole_file, words."""
