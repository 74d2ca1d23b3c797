"""Priced anew. May import: choices, failures, models, price, programme, search, solvers, stowage."""  # noqa: E501
