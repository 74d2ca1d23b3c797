"""Instances from outside, and other solvers."""
