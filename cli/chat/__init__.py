"""The chat: prompt, completion, history and the words that it answers itself."""
