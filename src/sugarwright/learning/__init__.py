"""What a maker's own records teach about the trees, as plain values that other rooms are handed."""
