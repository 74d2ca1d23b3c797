"""The order. May import: buying, evidence, inputs, laying, layout, models, paper, told, whole_file, words."""  # noqa: E501
