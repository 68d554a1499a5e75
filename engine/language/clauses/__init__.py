"""A message as a whole: prepared, parted into clauses and grouped by what they speak of."""
