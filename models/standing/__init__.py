"""How one leg stands and what holds it: the engineering."""
