"""What is handed back, the plan first. May import: arrays, farm, goods, option, rate, standing."""
