"""Written to be read back. May import: figures, layout, models, needs, paper, reading, whole_file, words."""  # noqa: E501
