"""Posterior over sets of troubled sources, given all observations."""
