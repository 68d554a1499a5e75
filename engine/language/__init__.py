"""Shop talk to observations."""
