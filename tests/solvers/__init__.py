"""The doors to the solvers: what becomes of faults, of one that is not there, of its printing."""
