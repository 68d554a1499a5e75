"""What was read or seen: readings with their direction and length, signs with their answer."""
