"""The command line: reads, calls what stands below, prints. No computation here."""
