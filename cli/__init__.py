"""Commands, chat prompt and screens. No trade knowledge, no arithmetic."""
