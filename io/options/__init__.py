"""The options book and break-even."""
