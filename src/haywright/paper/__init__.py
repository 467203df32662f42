"""What is printed: templates, fonts, drawings and charts."""
