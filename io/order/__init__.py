"""The order. May import: drawings, evidence, inputs, laying, layout, models, paper, told, whole_file, words."""  # noqa: E501
