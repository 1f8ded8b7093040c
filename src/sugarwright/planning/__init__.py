"""Planning: what to do today, found by running the plant against many weathers."""
