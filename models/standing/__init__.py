"""How one leg stands and what holds it. May import: arrays, constants, farm, goods, site."""
