// The bench page.
