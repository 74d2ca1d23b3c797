"""What is handed back, plan first. May import: arrays, constants, farm, fault, goods, standing."""
