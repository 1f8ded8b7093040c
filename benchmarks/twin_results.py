"""What a season comes to, from the SimPy twin and from the kernel, side by side."""

from __future__ import annotations

from dataclasses import dataclass, fields

from sugarwright.plant import layout
from sugarwright.plant.simulate import Trace


@dataclass
class Season:
    """What a run comes to."""

    sap_kg: float = 0.0
    sap_sugar_kg: float = 0.0
    syrup_kg: float = 0.0
    syrup_sugar_kg: float = 0.0
    dumped_sugar_kg: float = 0.0
    steam_kg: float = 0.0
    permeate_kg: float = 0.0
    membrane_s: float = 0.0
    fire_s: float = 0.0
    hands_s: float = 0.0
    wood_m3: float = 0.0
    membrane_starts: int = 0
    rinses: int = 0
    washes: int = 0
    light_ups: int = 0
    draws: int = 0


def season_of(trace: Trace) -> Season:
    """Read the same figures from a run of the kernel."""
    y = trace.totals
    return Season(
        sap_kg=y[layout.SAP_WATER_KG] + y[layout.SAP_SUGAR_KG],
        sap_sugar_kg=y[layout.SAP_SUGAR_KG],
        syrup_kg=y[layout.SYRUP_WATER_KG] + y[layout.SYRUP_SUGAR_KG],
        syrup_sugar_kg=y[layout.SYRUP_SUGAR_KG],
        dumped_sugar_kg=y[layout.DUMPED_SUGAR_KG],
        steam_kg=y[layout.STEAM_KG],
        permeate_kg=y[layout.PERMEATE_KG],
        membrane_s=y[layout.MEMBRANE_S],
        fire_s=y[layout.FIRE_S],
        hands_s=y[layout.HANDS_S],
        wood_m3=y[layout.WOOD_BURNT_M3],
        membrane_starts=round(y[layout.MEMBRANE_STARTS]),
        rinses=round(y[layout.RINSES]),
        washes=round(y[layout.WASHES]),
        light_ups=round(y[layout.LIGHT_UPS]),
        draws=round(y[layout.DRAWS]),
    )


def differences(twin: Season, kernel: Season) -> dict[str, float]:
    """How far the kernel is from the twin, as a fraction of the twin's figure."""
    found = {}
    for each in fields(Season):
        here, there = getattr(twin, each.name), getattr(kernel, each.name)
        found[each.name] = (there - here) / here if here else float(there != here)
    return found


def table(twin: Season, kernel: Season) -> str:
    """Both results side by side."""
    lines = [f"{'':18}{'twin':>12}{'kernel':>12}{'differ':>10}"]
    for name, fraction in differences(twin, kernel).items():
        figures = f"{getattr(twin, name):12.1f}{getattr(kernel, name):12.1f}"
        lines.append(f"{name:18}{figures}{100.0 * fraction:+9.2f} %")
    return "\n".join(lines)
