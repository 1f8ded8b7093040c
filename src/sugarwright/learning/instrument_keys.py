"""Under which names it is kept what instruments read off. Imports nothing that takes time."""

from __future__ import annotations

INSTRUMENTS = "instruments"
"""Name of the document."""


def key_of(quantity: str, instrument: str) -> str:
    """Return the key of an instrument's bias in it."""
    return f"{quantity}.{instrument}"


def instrument_of_key(key: str) -> tuple[str, str]:
    """Return quantity and instrument that a key names."""
    quantity, _, instrument = key.partition(".")
    return quantity, instrument
