"""What else is asked of a farm, and its answers. May import: answer, arrays, goods, option, rate, standing."""  # noqa: E501
