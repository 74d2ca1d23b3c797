"""The order. May import: drawings, evidence, inputs, laying, layout, models, paper, whole_file, words."""  # noqa: E501
