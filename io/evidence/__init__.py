"""What holdings rest on. May import: drawings, models, paper, web_page, whole_file, words."""
