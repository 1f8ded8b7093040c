"""How this program is called where it runs, so that a hint can be typed as it stands."""

from __future__ import annotations

import os

VARIABLE = "SUGARWRIGHT_CALLED_AS"


def program() -> str:
    """Return the words that a command begins with: ``sugarwright``, or what ``start.py`` says."""
    return os.environ.get(VARIABLE, "sugarwright")
