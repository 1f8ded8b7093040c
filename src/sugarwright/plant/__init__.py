"""The plant: a described sugarhouse, its state, and the simulator that runs it."""
