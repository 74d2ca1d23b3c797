"""What is hardly meant of goods, place and carriage. May import: constants, farm, fault, goods, site."""  # noqa: E501
