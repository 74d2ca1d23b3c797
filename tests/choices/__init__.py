"""Tests of what may be laid: choices, near misses, what drops out."""
