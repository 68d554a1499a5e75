"""The words of the shop: text to tokens, tokens to the names of things."""
