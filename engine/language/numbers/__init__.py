"""Numbers as they are spoken: values, units, spans, bounds and what each is not."""
