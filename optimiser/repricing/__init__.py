"""One farm priced again and again: options, rates, reasons."""
