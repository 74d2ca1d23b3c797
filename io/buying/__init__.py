"""What goes to sellers and carriers. May import: drawings, models, paper, told, words."""
