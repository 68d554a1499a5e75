"""Rules of the trade, one theme a file."""
