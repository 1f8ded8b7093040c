"""Cautions, shown where the act is. Our own words; local codes, labels and trades come first."""

from __future__ import annotations

CAUTIONS: dict[str, str] = {
    "fire": (
        "Never leave a lit pan. This estimate is no level gauge: watch the pan. "
        "Air in, steam out, a carbon monoxide alarm, an extinguisher and a clear way out."
    ),
    "burn-down": "Stay until it has stopped boiling, liquid over the whole floor of the pan.",
    "wash": (
        "Goggles and gloves; the cleaner's label rules. Never mix alkaline, acid and "
        "chlorine cleaners. Rinse until neutral before sap goes through."
    ),
    "membrane": (
        "High pressure and wet floor: relieve pressure before opening, ground-fault "
        "protection, wiring by a licensed electrician."
    ),
    "frost": "What is left in a line or a pump bursts it. Never thaw with a flame.",
    "spoiled": "Never enter a tank. Clean with food-safe means and rinse.",
}
"""Caution key -> text."""
