"""Readers' papers. May import: buying, evidence, inputs, laying, layout, models, order, paper, reading, words."""  # noqa: E501
