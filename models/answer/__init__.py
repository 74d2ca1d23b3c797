"""What is handed back, the plan first. May import: arrays, farm, fault, goods, option, rate, standing."""  # noqa: E501
