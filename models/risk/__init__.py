"""How sure the money is. May import: answer, arrays, farm, goods, site, standing."""
