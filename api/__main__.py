"""`python -m moorledger`: the command line."""

from __future__ import annotations

from .entrance import main

main()
