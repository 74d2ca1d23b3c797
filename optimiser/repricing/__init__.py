"""One farm anew. May import: choices, listener, models, price, programme, search, solvers, stowage."""  # noqa: E501
