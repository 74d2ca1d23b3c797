"""Tests of moorledger; see DEVELOPERS.md for how they are arranged."""
