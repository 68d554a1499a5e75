"""Which check to make next, and when to stop."""
