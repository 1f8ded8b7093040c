"""Invented house files that the tests of the description share."""

from __future__ import annotations

import re

from sugarwright.plant.write_house import house_toml

ANSWERS = {
    "site.name": "Invented house",
    "site.latitude": "44.1",
    "site.longitude": "71.9 W",
    "site.timezone": "America/New_York",
    "gathering.taps": "310",
    "tank.sap.volume": "420 gal",
    "membrane": "yes",
    "tank.stock.volume": "160 gal",
    "tank.permeate.volume": "310 gal",
    "pan.boil_rate": "21 gal/h",
    "trees.tapped": "2027-02-20",
}
"""A house with a membrane and sap that comes by itself."""
PUMPED = {**ANSWERS, "gathering.way": "pump", "gathering.tank.volume": "240 gal"}
FETCHED = {**ANSWERS, "gathering.way": "trips", "gathering.tank.volume": "240 gal"}
SMALL = {
    key: value
    for key, value in ANSWERS.items()
    if key not in ("tank.stock.volume", "tank.permeate.volume")
} | {"membrane": "no", "tank.sap.volume": "60 gal", "pan.boil_rate": "6 gal/h"}

MINIMAL = """\
[site]
name = "Invented house"
latitude = 44.1
longitude = -71.9
timezone = "America/New_York"
[[gathering]]
taps = 310
[tank.sap]
volume = "420 gal"
[pan]
boil_rate = "21 gal/h"
[[people]]
[trees]
tapped = 2027-02-20
"""
"""The least that a house can be: all else is at its default."""


def spelled_out(answers: dict[str, str]) -> str:
    """Return the file of some answers with every default of its sections said aloud."""
    lines, in_use = [], False
    for line in house_toml(answers).splitlines():
        if re.match(r"(# )?\[", line):
            in_use = line.startswith("[")
        default = re.fullmatch(r"# (\w+ = .*)", line)
        said = default and in_use and "an example" not in line
        lines.append(default[1] if default and said else line)
    return "\n".join(lines) + "\n"


def with_line(text: str, old: str, new: str) -> str:
    """Return the text with the one line that starts with ``old`` replaced."""
    lines = text.splitlines()
    (number,) = [i for i, line in enumerate(lines) if line.startswith(old)]
    return "\n".join([*lines[:number], *new.splitlines(), *lines[number + 1 :]]) + "\n"
