"""What is said, in which words, to sheet, page and terminal alike."""
