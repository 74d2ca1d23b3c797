"""Every input sheet and column, once. May import: models.goods, models.option, models.site."""
