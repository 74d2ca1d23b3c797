"""What is handed back: plan, options, rates. May import: arrays, farm, goods, option, rate, standing."""
