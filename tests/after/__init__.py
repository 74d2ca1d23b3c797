"""What is laid and ordered already stays, and every change says what it costs."""
