"""What offers are worth, and what to ask of suppliers. May import: choices, crew, models, programme, repricing, search."""  # noqa: E501
