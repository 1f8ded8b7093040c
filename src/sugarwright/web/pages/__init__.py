"""The screens, one a file: each has a ``router``."""
