"""What is handed back, the plan first. May import: arrays, farm, fault, goods, standing."""
