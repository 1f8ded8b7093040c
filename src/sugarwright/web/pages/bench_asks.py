"""The questions of the bench page: the form of each, and who answers it."""

from __future__ import annotations

import dataclasses
from collections.abc import Callable, Mapping
from dataclasses import dataclass

from sugarwright.answering import bench_batch, bench_measure, bench_sell
from sugarwright.answering.bench_terms import (
    AIR_PA,
    BOILING_C,
    COLD_C,
    GREATEST_BRIX,
    HOT_C,
    LEAST_BRIX,
    WATER_BOILS_C,
    Boils,
    Terms,
)
from sugarwright.bench.containers import SIZES
from sugarwright.bench.density_law import LAWS
from sugarwright.saying.bench_batch import adjust_told, blend_told, ratio_told
from sugarwright.saying.bench_measure import boil_told, check_told
from sugarwright.saying.bench_sell import grade_told, laws_told, pack_told
from sugarwright.saying.bench_told import Told
from sugarwright.units import BRIX, FRACTION, LENGTH, MASS, PRESSURE, TEMPERATURE, VOLUME
from sugarwright.web.pages.bench_fields import Field, Unit

Typed = Mapping[str, str | None]
DRUMS = 3
_DEGREES = {"us": (Unit("°F", TEMPERATURE),), "metric": (Unit("°C", TEMPERATURE),)}
_BRIX = dict.fromkeys(("us", "metric"), (Unit("Brix", BRIX),))
_SCALES = dict.fromkeys(("us", "metric"), (Unit("Brix", BRIX), Unit("Baumé", BRIX, "baume")))
_SHARE = dict.fromkeys(("us", "metric"), (Unit("%", FRACTION),))
_AIR = {"us": (Unit("inHg", PRESSURE),), "metric": (Unit("hPa", PRESSURE),)}
_HEIGHT = {"us": (Unit("ft", LENGTH),), "metric": (Unit("m", LENGTH),)}
_VOLUMES = {
    "us": tuple(Unit(name, VOLUME) for name in ("gal", "qt", "fl oz")),
    "metric": tuple(Unit(name, VOLUME) for name in ("L", "mL")),
}
_AMOUNTS = {
    "us": (*_VOLUMES["us"], Unit("lb", MASS)),
    "metric": (*_VOLUMES["metric"], Unit("kg", MASS)),
}
_NONE: dict[str, tuple[Unit, ...]] = {"us": (), "metric": ()}
_MASSES = ("lb", "kg")
_ROOM = {"us": "68", "metric": "20"}
_CALIBRATIONS = {"60 F": "60 °F (15.6 °C)", "20 C": "68 °F (20 °C)"}
_YOUR_LAW = "The finish of this house"


def _brix(name: str, label: str, said: str, **more: object) -> Field:
    values = {"least": LEAST_BRIX, "greatest": GREATEST_BRIX} | more
    return Field(name, label, said, _BRIX, **values)  # type: ignore[arg-type]  # as Field has them


def _degrees(name: str, label: str, said: str, ends: tuple[float, float], tip: str = "") -> Field:
    return Field(name, label, said, _DEGREES, *ends, tip=tip)


WATER = _degrees(
    "water-boils",
    "Your thermometer in boiling water today",
    "what your thermometer shows in boiling water",
    WATER_BOILS_C,
    "The surest. Left out: by barometer, else by the elevation of this house.",
)
BAROMETER = Field(
    "barometer", "Barometer, at the sugarhouse", "the barometer", _AIR, *AIR_PA,
    tip="As it is there, not reduced to sea level.", rare=True,
)  # fmt: skip
INVERT = Field(
    "invert", "Invert sugar in the solids", "invert sugar", _SHARE, 0.0, 0.3,
    tip="Some 1 % early in the season, several % late. Left out: none.", rare=True,
)  # fmt: skip
TO = _brix("to", "Strength you want", "the strength you want", tip="Left out: your finish.")


@dataclass(frozen=True)
class Ask:
    """A question.

    Parameters
    ----------
    name : in addresses
    label : what one asks
    does : what comes of it, in a sentence
    fields : of its form
    answer : takes what was typed, with units, and how one asks
    offline : it can be answered by the tables, without the server
    """

    name: str
    label: str
    does: str
    fields: tuple[Field, ...]
    answer: Callable[[Typed, Terms], tuple[Told, ...]]
    offline: bool = True


def _check(typed: Typed, terms: Terms) -> tuple[Told, ...]:
    measured = bench_measure.Measured(
        typed["hydrometer"],
        typed["temperature"],
        typed["calibrated"] or bench_measure.USUAL_CALIBRATION,
        typed["refractometer"],
        typed["prism"],
        typed["thermometer"],
        Boils(typed["water-boils"], typed["barometer"]),
        typed["invert"] or bench_measure.NO_INVERT,
        typed["law"],
    )
    return (check_told(*bench_measure.check(measured, terms), terms.units),)


def _boil(typed: Typed, terms: Terms) -> tuple[Told, ...]:
    boils = Boils(typed["water-boils"], typed["barometer"], typed["sea-level"], typed["elevation"])
    strengths = (typed["brix"],) if typed["brix"] else ()
    invert = typed["invert"] or bench_measure.NO_INVERT
    found = bench_measure.boil(boils, terms, strengths, invert)
    return (boil_told(found, terms.units, terms.named),)


def _adjust(typed: Typed, terms: Terms) -> tuple[Told, ...]:
    amount = typed["volume"]
    by_weight = amount is not None and amount.endswith(_MASSES)
    batch = bench_batch.BatchTyped(
        None if by_weight else amount,
        amount if by_weight else None,
        typed["brix"],
        typed["temperature"] or "68 F",
        typed["to"],
        typed["with"],
    )
    return (adjust_told(*bench_batch.adjust(batch, terms), terms.units),)


def _blend(typed: Typed, terms: Terms) -> tuple[Told, ...]:
    drums = []
    for number in range(1, DRUMS + 1):
        amount, brix = typed[f"amount-{number}"], typed[f"brix-{number}"]
        if amount and brix:
            drums.append(f"{amount} {brix}")
        elif amount or brix:
            missing = f"brix-{number}" if amount else f"amount-{number}"
            raise terms.refusal(missing, "is needed: of each drum its amount and its strength")
    if not drums:
        raise terms.refusal("amount-1", "is needed, and the strength of that drum")
    return (blend_told(*bench_batch.blend(drums, typed["to"], terms), terms.units),)


def _ratio(typed: Typed, terms: Terms) -> tuple[Told, ...]:
    sap = typed["sap"]
    if sap is None:
        raise terms.refusal("sap", "is needed: how much sap")
    return (ratio_told(bench_batch.ratio(sap, typed["brix"], typed["to"], terms), terms.units),)


def _pack(typed: Typed, terms: Terms) -> tuple[Told, ...]:
    found = bench_sell.pack(
        typed["volume"],
        terms,
        typed["temperature"] or bench_sell.USUAL_PACKING,
        typed["brix"],
        (typed["into"] or "").split("|") if typed["into"] else (),
        typed["loss"] or bench_sell.USUAL_LOSS,
    )
    return (pack_told(*found, terms.units),)


def _grade(typed: Typed, terms: Terms) -> tuple[Told, ...]:
    return (grade_told(bench_sell.grade(typed["light"], terms)),)


def _law(typed: Typed, terms: Terms) -> tuple[Told, ...]:
    return laws_told(bench_sell.law(typed["place"], terms), terms.units)


def _drum(number: int) -> tuple[Field, Field]:
    which = f"drum {number}"
    needed = number == 1
    return (
        Field(f"amount-{number}", f"Drum {number}: how much", f"the amount in {which}", _AMOUNTS,
              needed=needed),
        _brix(f"brix-{number}", f"Drum {number}: strength", f"the strength of {which}",
              needed=needed),
    )  # fmt: skip


_PLACES = {place: law.place for place, law in LAWS.items()}

ASKS: tuple[Ask, ...] = (
    Ask(
        "check",
        "Is it syrup?",
        "By hydrometer, refractometer or thermometer; by two or three they are compared.",
        (
            Field("hydrometer", "Hydrometer shows", "the hydrometer", _SCALES, LEAST_BRIX,
                  GREATEST_BRIX, tip="Syrup: some 59 Brix hot off the pan, some 66 when cool."),
            _degrees("temperature", "Syrup in its cup", "the temperature in its cup",
                     (COLD_C, HOT_C)),
            Field("calibrated", "Hydrometer is made for", "the hydrometer's own temperature",
                  _NONE, choices=_CALIBRATIONS, tip="It is printed on its paper scale."),
            _brix("refractometer", "Refractometer shows", "the refractometer",
                  tip="On a drop that has cooled."),
            _degrees("prism", "Its prism", "the prism's temperature", (5.0, 30.0),
                     "Leave out if it corrects itself (ATC)."),
            _degrees("thermometer", "Thermometer in the boiling syrup", "the thermometer",
                     BOILING_C),
            WATER,
            BAROMETER,
            INVERT,
            Field("law", "Limits of", "the law", _NONE, choices={"": _YOUR_LAW} | _PLACES,
                  rare=True),
        ),
        _check,
    ),
    Ask(
        "boil",
        "Where does syrup boil today?",
        "Syrup is drawn by how much hotter it boils than water does that day.",
        (
            WATER,
            dataclasses.replace(BAROMETER, rare=False),
            Field("sea-level", "Pressure by the weather report", "the weather report's pressure",
                  _AIR, 90e3, 105e3, rare=True),
            Field("elevation", "Elevation", "the elevation", _HEIGHT, -200.0, 4500.0,
                  tip="Left out: that of this house.", rare=True),
            _brix("brix", "Strength of syrup", "the strength of syrup", least=1.0, greatest=74.0,
                  tip="Left out: the usual ones."),
            INVERT,
        ),
        _boil,
    ),
    Ask(
        "adjust",
        "Thin it or boil it down",
        "How much to add to a batch, or to boil off, for the strength you want.",
        (
            Field("volume", "How much there is", "the amount", _AMOUNTS, needed=True),
            _brix("brix", "Its strength", "its strength", needed=True),
            Field("temperature", "Its temperature", "its temperature", _DEGREES, COLD_C, HOT_C,
                  usual=_ROOM, tip="When its volume was read."),
            TO,
            _brix("with", "Strength of what you add", "the strength of what you add", least=0.0,
                  tip="Sap, thin or heavy syrup. Left out: water, or boiling."),
        ),
        _adjust,
    ),
    Ask(
        "blend",
        "Blend drums",
        "What comes of pouring together, or how much of each for a strength. Volumes at 68 °F "
        "(20 °C).",
        (
            *(field for number in range(1, DRUMS + 1) for field in _drum(number)),
            _brix("to", "Strength you want", "the strength you want",
                  tip="Left out: all is poured together."),
        ),
        _blend,
    ),
    Ask(
        "ratio",
        "How much syrup is in this sap?",
        "By the balance of sugar, beside the rules of thumb.",
        (
            Field("sap", "How much sap", "the amount of sap", _VOLUMES, needed=True),
            _brix("brix", "Its strength", "its strength", least=0.2, greatest=60.0, needed=True),
            TO,
        ),
        _ratio,
    ),
    Ask(
        "pack",
        "How many containers?",
        "What a hot batch fills, and what each must weigh.",
        (
            Field("volume", "Hot batch", "the hot batch", _VOLUMES, needed=True),
            Field("temperature", "Packed at", "the packing temperature", _DEGREES, COLD_C, HOT_C,
                  usual={"us": "185", "metric": "85"}),
            _brix("brix", "Its strength", "its strength", tip="Left out: your finish."),
            Field("into", "Into", "the sizes", _NONE, many=True,
                  choices={name: name for name in SIZES},
                  tip="The larger are filled first. None: all usual sizes, each alone."),
            Field("loss", "Left in filter and pails", "the loss", _SHARE, 0.0, 0.4,
                  usual={"us": "2", "metric": "2"}),
        ),
        _pack,
    ),
    Ask(
        "grade",
        "Which colour class?",
        "By the light that 10 mm of syrup let through at 560 nm, glycerol being 100.",
        (Field("light", "Light let through", "the light let through", _SHARE, 0.0, 1.0,
               needed=True),),
        _grade,
        offline=False,
    ),
    Ask(
        "law",
        "How dense by law?",
        "Least and greatest strength, each with its source.",
        (Field("place", "Place", "the place", _NONE, choices={"": "All"} | _PLACES),),
        _law,
        offline=False,
    ),
)  # fmt: skip
BY_NAME = {ask.name: ask for ask in ASKS}


def said_in(ask: Ask, name: str) -> str:
    """Return what a field is called within a sentence; the bench's own names for others stand."""
    others = {
        "check": "This check", "boil": "The boiling point", "weight": "its weight",
        "drum": "drum", "folder": "this house's elevation", "error": "the instrument's error",
    }  # fmt: skip
    known = {field.name: field.said for field in ask.fields}
    return known.get(name) or others.get(name) or {each.name: each.said for each in (
        WATER, BAROMETER, INVERT, TO)}.get(name, name.replace("-", " "))  # fmt: skip
