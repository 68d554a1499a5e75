"""What can be told of a message from its words alone: weights counted from labelled sentences, and nothing else."""
