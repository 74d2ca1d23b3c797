"""What holdings rest on, as sheets. May import: models, paper, whole_file, words."""
