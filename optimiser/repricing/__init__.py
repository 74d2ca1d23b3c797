"""New prices. May import: choices, crew, failures, models, price, programme, search, solvers, stowage."""  # noqa: E501
