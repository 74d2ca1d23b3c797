"""What is handed back: plan, comparison, break-even, reasons."""
