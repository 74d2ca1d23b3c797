"""Papers for every reader. May import: buying, evidence, laying, models, order, paper, reading, record, words."""  # noqa: E501
