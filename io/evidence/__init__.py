"""What holdings rest on. May import: drawings, models, paper, told, web_page, whole_file, words."""
