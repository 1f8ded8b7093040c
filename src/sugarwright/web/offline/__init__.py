"""What a phone can do out of reach of the server: what it needs for that is made here."""
