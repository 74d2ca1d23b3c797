"""What is laid and bought already. May import: answer, arrays, farm, goods, site, standing."""
