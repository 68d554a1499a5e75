"""The arithmetic of each fix, and cutting within tolerance as the machine stands."""
