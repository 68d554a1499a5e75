"""What a message likely says, by a small network that learned it from labelled sentences."""
