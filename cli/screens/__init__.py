"""Screens as pure functions: from what the assistant answers to lines of styled text."""
