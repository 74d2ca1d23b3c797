"""What is laid and bought already. May import: answer, farm, fault, goods, site, standing."""
