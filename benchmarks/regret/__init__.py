"""The benchmark of decisions: what plans lose against perfect weather, and gain over habit."""
