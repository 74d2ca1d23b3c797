"""What is handed back: plan, options, rates. May import: farm, goods, option, rate, standing."""
