"""Pictures in the terminal: data in, lines of text out, the numbers always beside the picture."""
