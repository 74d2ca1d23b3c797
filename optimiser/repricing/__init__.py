"""New prices. May import: choices, crew, failures, listener, models, price, programme, search, solvers, stowage."""  # noqa: E501
