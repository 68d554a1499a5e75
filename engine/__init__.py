"""Everything that is computed. Knows no terminal."""
