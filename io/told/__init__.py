"""What is told of a plan, to terminal, Summary and page. May import: layout, models, words."""
