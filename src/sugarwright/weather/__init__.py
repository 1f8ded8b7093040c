"""Observed and forecast hours: from files, and the ensembles made of them."""
