<<<<<<< HEAD
"""New prices. May import: choices, crew, failures, listener, models, price, programme, search, solvers, stowage."""  # noqa: E501
=======
"""Priced anew. May import: choices, failures, models, price, programme, search, solvers, stowage."""  # noqa: E501
>>>>>>> papers
