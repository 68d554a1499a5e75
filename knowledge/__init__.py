"""What the trade knows, as validated data and as rules. Computes nothing, prints nothing."""
