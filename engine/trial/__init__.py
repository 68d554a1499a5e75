"""Simulated shops that score the whole assistant."""
