"""Input sheets written out: template, checked copy."""
