"""How sure the money is. May import: answer, arrays, farm, site, standing."""
