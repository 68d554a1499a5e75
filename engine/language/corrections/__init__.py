"""What takes back or changes something told before."""
