"""What is asked of the assistant, and what cannot be made or is not known."""
