"""The papers of every reader, read as files; the order read back."""
