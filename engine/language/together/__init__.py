"""Groups of one message taken together: what one leaves open, another tells."""
