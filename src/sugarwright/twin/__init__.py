"""The twin: where tanks, membrane and pan stand now, and how sure that is, from what was logged."""
