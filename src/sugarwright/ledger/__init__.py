"""Where the sugar went: readings made to agree by balances, and what does not fit named."""
