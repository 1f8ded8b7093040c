"""The least and greatest density of syrup that each law allows, with its source.

A table to start from, not legal advice: rules change, and the authority's own text rules.
"""

from __future__ import annotations

from dataclasses import dataclass
from difflib import get_close_matches

from sugarwright.errors import InputError

AT_20_C = 20.0
AT_60_F = (60.0 - 32.0) / 1.8


@dataclass(frozen=True)
class DensityLaw:
    """What one law says of the density of syrup for sale.

    Parameters
    ----------
    place : whose law
    least_brix : least strength [mass percent]
    greatest_brix : greatest strength [mass percent]; None when none is known
    at_c : temperature of the measurement that it names [°C]
    source : where the figure is from
    sure : how it is known: read (in the authority's text), quoted (by others), memory
    note : what else it says; may be empty
    """

    place: str
    least_brix: float
    greatest_brix: float | None
    at_c: float
    source: str
    sure: str
    note: str = ""


@dataclass(frozen=True)
class DensityLaws:
    """The laws asked for.

    Parameters
    ----------
    laws : one, or all that are known here
    """

    laws: tuple[DensityLaw, ...]


_US = "USDA, United States Standards for Grades of Maple Syrup, effective March 2, 2015"
LAWS: dict[str, DensityLaw] = {
    "us": DensityLaw(
        "United States, federal",
        66.0,
        68.9,
        AT_20_C,
        f"21 CFR 168.140 (at least 66 %), as quoted in {_US}, which adds the most for Grade A",
        "read",
        "Grades are voluntary; the least is binding. Your state may ask for more.",
    ),
    "canada": DensityLaw(
        "Canada, federal",
        66.0,
        68.9,
        AT_20_C,
        "Canadian Food Inspection Agency, Canadian Grade Compendium, volume 7: Maple Syrup",
        "read",
    ),
    "maine": DensityLaw(
        "Maine",
        66.0,
        69.0,
        AT_20_C,
        "Maine Revised Statutes, title 7, section 892-A",
        "read",
        "The greatest is to become 68.9 once other places agree (section 892-A, second text).",
    ),
    "new hampshire": DensityLaw(
        "New Hampshire",
        66.9,
        None,
        AT_60_F,
        "second-hand public pages; the text of the rule was not read",
        "quoted",
        "The statute, RSA 146:13, asks for 35 percent of water at most and 11 lb to the gallon.",
    ),
    "new york": DensityLaw(
        "New York", 66.0, 68.9, AT_20_C, "the state's adoption of the US grades of 2015", "quoted"
    ),
    "ontario": DensityLaw(
        "Ontario", 66.0, None, AT_20_C, "Ontario's rules for maple products", "quoted"
    ),
    "quebec": DensityLaw(
        "Quebec", 66.0, 68.9, AT_20_C, "taken to be as federal; the text was not read", "memory"
    ),
    "vermont": DensityLaw(
        "Vermont",
        66.9,
        68.9,
        AT_60_F,
        "Vermont's maple regulations as the state's extension service (2022) and public pages "
        "quote them: 36 to 37 degrees Baumé, modulus 145, at 60 °F",
        "quoted",
    ),
    "wisconsin": DensityLaw(
        "Wisconsin", 66.0, 68.9, AT_20_C, "the state's adoption of the US grades of 2015", "quoted"
    ),
}
"""Place as it is typed -> its law."""
ALSO = {
    "federal": "us",
    "usa": "us",
    "united states": "us",
    "vt": "vermont",
    "nh": "new hampshire",
    "me": "maine",
    "ny": "new york",
    "wi": "wisconsin",
    "on": "ontario",
    "qc": "quebec",
    "québec": "quebec",
    "ca": "canada",
}


def density_laws(place: str | None) -> DensityLaws:
    """Return the law of a place, or of every place in the table.

    Parameters
    ----------
    place : state, province or country; None for all

    Raises
    ------
    InputError : a place whose law is not in the table
    """
    return DensityLaws(tuple(LAWS.values()) if place is None else (density_law(place),))


def density_law(place: str) -> DensityLaw:
    """Return the law of a place.

    Parameters
    ----------
    place : state, province or country, in words or by its letters

    Raises
    ------
    InputError : a place whose law is not in the table

    >>> density_law("VT").least_brix
    66.9
    """
    typed = " ".join(place.casefold().split())
    found = LAWS.get(ALSO.get(typed, typed))
    if found is not None:
        return found
    near = get_close_matches(typed, [*LAWS, *ALSO], n=1)
    fix = (
        f'Did you mean "{near[0]}"?'
        if near
        else "Ask your state or province; most follow the federal rule"
    )
    raise InputError("law", place, "is no place whose law is known here", ", ".join(LAWS), fix)
