"""Pricing. May import: its own files, after, choices, models, programme, recheck, search, solvers, stowage."""  # noqa: E501
