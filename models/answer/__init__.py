"""What is handed back. May import: arrays, constants, farm, goods, option, rate, standing."""
