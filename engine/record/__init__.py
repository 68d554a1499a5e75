"""The case on disk and the record of each machine."""
