"""Options that say how the house stands at the beginning, shared by the commands that need it."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass, replace
from typing import TYPE_CHECKING, Annotated

import typer

from sugarwright.errors import InputError, QuantityError, RangeError
from sugarwright.plant.house import House
from sugarwright.plant.house_tank import Tank
from sugarwright.plant.tanks import capacity_m3, full_depth_m, volume_at_depth_m3
from sugarwright.units import BRIX, DURATION, FRACTION, LENGTH, VOLUME, WOOD, Kind, parse, show

if TYPE_CHECKING:
    from sugarwright.plant.state import Contents, Levels

SAP_BRIX = (0.5, 8.0)
"""What sap can have, as in sugarhouse.toml."""
STOCK_BRIX = (0.5, 40.0)
"""What concentrate can have; a run starts from no more."""
_BY_LOG = "Left out: as the log has it (in a plan); else"
_LEAST_CONDITION = 0.05  # a membrane that lets less through is blocked, not tired


def _option(metavar: str, help: str) -> typer.models.OptionInfo:
    option: typer.models.OptionInfo = typer.Option(metavar=metavar, help=help)
    return option


@dataclass(frozen=True)
class LevelTexts:
    """Readings at the beginning, as typed."""

    sap: Annotated[
        str | None,
        _option("LEVEL", f'In the sap tank: "212 gal", or "14 in" on the stick. {_BY_LOG} empty.'),
    ] = None
    sap_brix: Annotated[str | None, _option("BRIX", "Its strength; else the house's.")] = None
    sap_age: Annotated[
        str | None, _option("TIME", f'How long it waits: "14 h". {_BY_LOG} fresh.')
    ] = None
    stock: Annotated[str | None, _option("LEVEL", "Concentrate in the stock tank.")] = None
    stock_brix: Annotated[str | None, _option("BRIX", "Its strength.")] = None
    stock_age: Annotated[str | None, _option("TIME", f"How old its sap is. {_BY_LOG} fresh.")] = (
        None
    )
    permeate: Annotated[str | None, _option("LEVEL", "In the permeate tank.")] = None
    gathered: Annotated[
        list[str] | None,
        _option(
            "[NAME=]LEVEL[@BRIX]",
            f'In a gathering tank: "north=120 gal@1.8". May be repeated. {_BY_LOG} empty.',
        ),
    ] = None
    pan_brix: Annotated[
        str | None,
        _option("BRIX", f"Mean strength in the pan, 0 when it is empty. {_BY_LOG} empty."),
    ] = None
    wood: Annotated[
        str | None,
        _option("WOOD", f'Wood on hand: "2.3 cords". {_BY_LOG} as sugarhouse.toml says.'),
    ] = None
    condition: Annotated[
        str | None,
        _option("SHARE", f'What fouling has left of the membrane: "85 %". {_BY_LOG} just washed.'),
    ] = None
    run_since_wash: Annotated[
        str | None, _option("TIME", 'Running time of the membrane since its wash: "6 h".')
    ] = None
    membrane_on: Annotated[
        bool, typer.Option("--membrane-on", help="The membrane is running now.")
    ] = False
    fire_on: Annotated[
        bool,
        typer.Option(
            "--fire-on",
            help="The fire burns and the pan boils; needs --pan-brix, unless your log tells it.",
        ),
    ] = False


def read_levels(house: House, texts: LevelTexts, otherwise: Levels | None = None) -> Levels:
    """Return the readings that the options state.

    Parameters
    ----------
    house : as described
    texts : the options
    otherwise : what stands where an option was left out; left out: empty, clean and off

    Raises
    ------
    InputError : an option cannot be read, exceeds its tank, or speaks of what the house lacks
    """
    from sugarwright.planning.if_quantities import MOST_WOOD_M3
    from sugarwright.plant.state import Contents, Levels

    _check_together(house, texts, known=otherwise is not None)
    known = otherwise or Levels(
        sap=Contents(brix=house.trees.sap_brix), permeate=Contents(brix=0.0)
    )
    gathered = _gathered(house, texts.gathered or ())
    pan_brix = read_within(
        "--pan-brix", texts.pan_brix, BRIX, 0.0, house.pan.finish_brix, known.pan_brix
    )
    wood_m3 = known.wood_m3
    if texts.wood is not None:
        wood_m3 = read_within("--wood", texts.wood, WOOD, 0.0, MOST_WOOD_M3, 0.0, house.site.units)
    if texts.fire_on and pan_brix <= 0.0:
        raise _fire_under_nothing(house, texts)
    return Levels(
        sap=_contents(house, "sap", texts, known.sap, SAP_BRIX),
        stock=_contents(house, "stock", texts, known.stock, STOCK_BRIX),
        permeate=_contents(house, "permeate", texts, known.permeate, SAP_BRIX),
        gathered=gathered or known.gathered,
        pan_brix=pan_brix,
        wood_m3=wood_m3,
        condition=read_within(
            "--condition", texts.condition, FRACTION, _LEAST_CONDITION, 1.0, known.condition
        ),
        run_since_wash_s=read_within(
            *("--run-since-wash", texts.run_since_wash, DURATION, 0.0, 3.6e6),
            known.run_since_wash_s,
        ),
        membrane_on=texts.membrane_on or known.membrane_on,
        fire_on=texts.fire_on or (known.fire_on and pan_brix > 0.0),
        heat_fraction=0.0 if texts.fire_on or pan_brix <= 0.0 else known.heat_fraction,
    )


def _check_together(house: House, texts: LevelTexts, *, known: bool) -> None:
    """Refuse options that the house has no place for, or that want another beside them."""
    if house.membrane is None:
        for name in ("stock", "stock_brix", "stock_age", "permeate", "condition", "run_since_wash"):
            if getattr(texts, name) is not None:
                option = "--" + name.replace("_", "-")
                raise InputError(option, getattr(texts, name), "the house has no membrane")
        if texts.membrane_on:
            raise InputError("--membrane-on", None, "the house has no membrane")
    if known:
        return
    if texts.stock_brix is None and _holds(house.stock_tank, "--stock", texts.stock, house):
        raise InputError("--stock-brix", None, "is needed with --stock", _range(STOCK_BRIX))


def _holds(tank: Tank | None, option: str, level: str | None, house: House) -> bool:
    """Tell whether a tank is told to hold anything."""
    if tank is None or level is None:
        return False
    return read_level_m3(tank, option, level, house.site.units) > 0.0


def _fire_under_nothing(house: House, texts: LevelTexts) -> InputError:
    """Ask how strong the pan is that a fire burns under."""
    allowed = f"above 0 to {house.pan.finish_brix:g} Brix"
    if texts.pan_brix is None:
        return InputError("--pan-brix", None, "is needed with --fire-on", allowed)
    return InputError(
        "--pan-brix", texts.pan_brix, "says that the pan is empty, and --fire-on that a fire burns "
        "under it", allowed, "If the pan is bare, draw the coals; else read it, and tell that",
    )  # fmt: skip


def _contents(
    house: House,
    name: str,
    texts: LevelTexts,
    known: Contents,
    possible: tuple[float, float],
) -> Contents:
    """Return what a tank holds: what was told of it, else what is known."""
    level = getattr(texts, name)
    brix, age = getattr(texts, f"{name}_brix", None), getattr(texts, f"{name}_age", None)
    tank = {"sap": house.sap_tank, "stock": house.stock_tank, "permeate": house.permeate_tank}[name]
    volume_m3 = known.volume_m3
    if tank is not None and level is not None:
        volume_m3 = read_level_m3(tank, f"--{name}", level, house.site.units)
    found = replace(
        known,
        volume_m3=volume_m3,
        brix=read_within(f"--{name}-brix", brix, BRIX, *possible, known.brix),
        age_s=read_within(f"--{name}-age", age, DURATION, 0.0, 30 * 86400.0, known.age_s),
    )
    if level is None and volume_m3 <= 0.0:
        _refuse_of_nothing(name, {"brix": brix, "age": age})
    return found


def _refuse_of_nothing(tank: str, told: Mapping[str, str | None]) -> None:
    """Refuse strength or age of a tank that is not told to hold anything."""
    for what, text in told.items():
        if text is not None:
            problem = f"is of an empty {tank} tank: nothing is told of what it holds"
            fix = f'Tell it as well, as in --{tank} "100 gal"'
            raise InputError(f"--{tank}-{what}", text, problem, fix=fix)


def _gathered(house: House, texts: Sequence[str]) -> tuple[Contents, ...]:
    """Return what stands in the tank of each gathering, in their order; empty where none has."""
    from sugarwright.plant.state import Contents

    option = "--gathered"
    tanks = {each.name: each.tank for each in house.gathering if each.tank is not None}
    found: dict[str, Contents] = {}
    for text in texts:
        name, level, brix = _parts_of(text, tanks, option)
        if name in found:
            raise InputError(option, text, f"{name} is told twice", "one level for each tank")
        found[name] = Contents(*_level_and_brix(house, tanks[name], text, level, brix))
    nothing = Contents(brix=house.trees.sap_brix)
    return tuple(found.get(each.name, nothing) for each in house.gathering) if found else ()


def _level_and_brix(
    house: House, tank: Tank, text: str, level: str, brix: str | None
) -> tuple[float, float]:
    """Read what a gathering tank holds; an error shows all that was typed, the name with it."""
    option = "--gathered"
    try:
        return (
            read_level_m3(tank, option, level, house.site.units),
            read_within(option, brix, BRIX, *SAP_BRIX, house.trees.sap_brix),
        )
    except InputError as error:
        wrong = "" if text == level else f'"{error.value}": '
        raise InputError(
            option, text, f"{wrong}{error.problem}", error.allowed, error.fix
        ) from None


def _parts_of(text: str, tanks: Mapping[str, Tank], option: str) -> tuple[str, str, str | None]:
    """Split NAME=LEVEL@BRIX; the name may be left out where there is one gathering tank only."""
    if not tanks:
        raise InputError(option, text, "no gathering of this house has a tank")
    name, equals, rest = text.rpartition("=")
    level, at, brix = rest.partition("@")
    known = {each.casefold(): each for each in tanks}
    if not equals and len(tanks) == 1:
        name = next(iter(tanks))
    if name.strip().casefold() not in known:
        problem = f"names no gathering tank: {name.strip()}" if equals else "names no gathering"
        allowed = ", ".join(tanks)
        fix = f'Write it as in {option} "{next(iter(tanks))}=120 gal@1.8"'
        raise InputError(option, text, problem, allowed, fix)
    return known[name.strip().casefold()], level.strip(), brix if at else None


def read_level_m3(tank: Tank, option: str, text: str, system: str) -> float:
    """Read a volume, or a depth on the stick where the tank's shape is known."""
    greatest_m3 = capacity_m3(tank)
    volume_m3 = _volume_at_depth_m3(tank, option, text, system)
    if volume_m3 is None:
        volume_m3 = parse(text, VOLUME, option)
    if not 0.0 <= volume_m3 <= greatest_m3 * (1.0 + 1e-9):
        raise InputError(
            option,
            text,
            "is not what this tank can hold",
            f"0 to {show(greatest_m3, VOLUME, system)}",
            "Read the tank again, or correct its size in sugarhouse.toml",
        )
    return min(volume_m3, greatest_m3)


def _volume_at_depth_m3(tank: Tank, option: str, text: str, system: str) -> float | None:
    """Return the volume at a depth on the stick, or None for a text that is no length."""
    try:
        depth_m = parse(text, LENGTH, option)
    except QuantityError:
        return None
    try:
        full_m = full_depth_m(tank)
    except InputError as error:
        raise InputError(option, text, error.problem, error.allowed, error.fix) from None
    if not 0.0 <= depth_m <= full_m * (1.0 + 1e-9):
        allowed = f"0 to {show(full_m, LENGTH, system)}"
        raise InputError(option, text, "is no depth inside this tank", allowed)
    return volume_at_depth_m3(tank, depth_m)


def read_within(
    option: str,
    text: str | None,
    kind: Kind,
    least: float,
    greatest: float,
    otherwise: float,
    system: str = "us",
) -> float:
    """Read an option that may be left out."""
    if text is None:
        return otherwise
    allowed = f"{show(least, kind, system)} to {show(greatest, kind, system)}"
    try:
        value = parse(text, kind, option)
    except RangeError as error:  # nothing at all can be so; this option's own range is what helps
        raise InputError(option, text, error.problem, allowed) from None
    if not least <= value <= greatest:
        hint = _slip(value, least, greatest) if kind is BRIX else ""
        raise InputError(option, text, "is out of range", allowed, hint)
    return value


def _slip(value: float, least: float, greatest: float) -> str:
    """Ask back where the decimal point is missing or misplaced: 19 for 1.9."""
    near = [value * by for by in (0.1, 0.01, 10.0) if least < value * by <= greatest]
    return f'Did you mean "{near[0]:.4g}"?' if near else ""


def _range(possible: tuple[float, float]) -> str:
    return " to ".join(show(each, BRIX) for each in possible)
