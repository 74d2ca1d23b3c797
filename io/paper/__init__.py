"""What a sheet is written on: page, style, chart, book. May import: models.answer, models.goods, words."""  # noqa: E501
