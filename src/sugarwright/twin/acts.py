"""What somebody did, done to one member: as it was told, however that member's tanks stand."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass

import numpy as np

from sugarwright.logbook.entry import Entry
from sugarwright.plant import layout as at
from sugarwright.plant.assemble import Plant
from sugarwright.plant.fire_decisions import feed_tank
from sugarwright.plant.pan_kernel import fill_pan, pan_mass_kg
from sugarwright.plant.tank_kernel import Floats, mass_above_kg, pour_in, take_out, volume_m3
from sugarwright.twin.contents import tanks_of


@dataclass(frozen=True)
class Doing:
    """One member, and what it is told.

    Parameters
    ----------
    plant : the described house
    p, x : parameters and state of the member
    entry : what was done
    volume_m3 : of what was moved, as this member takes it; None: all of it
    tank, to_tank : where in the state the tanks begin; None where there is none
    rinse_too : this member was rinsed when it was stopped, though nobody says so
    wash_fraction : what this member's wash brings back
    """

    plant: Plant
    p: Floats
    x: Floats
    entry: Entry
    volume_m3: float | None
    tank: int | None
    to_tank: int | None
    rinse_too: bool
    wash_fraction: float


def doing(
    plant: Plant, p: Floats, x: Floats, entry: Entry, spread: float, z: float, chance: float,
    rinse_untold: float,
) -> Doing:  # fmt: skip
    """Make an entry one member's own: amounts a little off what was told."""
    tanks = tanks_of(plant)
    told_m3 = entry.value("volume")
    volume_m3 = None if told_m3 is None else max(0.0, told_m3 * (1.0 + spread * z))
    place = entry.place or ("sap" if entry.kind.startswith("sap_") else "")
    if entry.kind == "gather" and not place.startswith("gathering:"):
        place = f"gathering:{plant.house.gathering[0].name}"
    wash = float(np.clip(p[at.WASH_RECOVERY] + spread * z, 0.0, 1.0))
    return Doing(
        plant, p, x, entry, volume_m3,
        tanks[place][0] if place in tanks else None,
        tanks[entry.to_place][0] if entry.to_place in tanks else None,
        chance < rinse_untold, wash,
    )  # fmt: skip


def do(this: Doing) -> None:
    """Change a member's state as its entry says."""
    _DOES[this.entry.kind](this)


def _nothing(this: Doing) -> None:
    """The flow of a setting is the whole ensemble's; a draw is the pan's own doing."""


def _membrane_on(this: Doing) -> None:
    if this.p[at.HAS_MEMBRANE] > 0.0:
        this.x[at.MEMBRANE_ON] = 1.0
        this.x[at.NEEDS_RINSE] = 0.0


def _membrane_off(this: Doing) -> None:
    this.x[at.MEMBRANE_ON] = 0.0
    this.x[at.NEEDS_RINSE] = 1.0
    if this.rinse_too:
        _rinse(this)


def _rinse(this: Doing) -> None:
    """A rinse; not once more where it was taken for granted as the membrane stopped."""
    p, x = this.p, this.x
    if x[at.NEEDS_RINSE] <= 0.0:
        return
    told_m3 = this.volume_m3 if this.entry.kind == "rinse" else None
    _use_permeate(p, x, p[at.RINSE_M3] if told_m3 is None else told_m3)
    x[at.NEEDS_RINSE] = 0.0
    x[at.CONDITION] += p[at.RINSE_RECOVERY] * (1.0 - x[at.CONDITION])


def _wash(this: Doing) -> None:
    p, x = this.p, this.x
    _use_permeate(p, x, p[at.WASH_M3] if this.volume_m3 is None else this.volume_m3)
    x[at.MEMBRANE_ON] = 0.0
    x[at.NEEDS_RINSE] = 0.0
    x[at.CONDITION] += this.wash_fraction * (1.0 - x[at.CONDITION])
    x[at.RUN_SINCE_WASH_S] = 0.0


def _use_permeate(p: Floats, x: Floats, volume_m3: float) -> None:
    """Take permeate; a member that has too little is emptied to its outlet: told is told."""
    wanted_kg = volume_m3 / p[at.WATER_M3_KG]
    take_out(
        x, at.PERMEATE, min(wanted_kg, mass_above_kg(p, x, at.PERMEATE, p[at.PERMEATE_DEAD_M3]))
    )


def _new_membrane(this: Doing) -> None:
    this.x[at.CONDITION] = 1.0
    this.x[at.RUN_SINCE_WASH_S] = 0.0


def _fire_burns(this: Doing) -> None:
    """Fill the pan where it is not full: from its tank, else from the sap tank, else with water."""
    p, x = this.p, this.x
    if x[at.FIRE_ON] > 0.0:
        return
    for source in (feed_tank(p), at.SAP):
        lacking_kg = (1.0 - x[at.PAN_FILLED]) * pan_mass_kg(p)
        available_kg = mass_above_kg(p, x, source, 0.0)
        if lacking_kg > 0.0 and available_kg > 0.0:
            fill_pan(p, x, source, min(lacking_kg, available_kg))
    x[at.PAN_FILLED] = 1.0
    x[at.FIRE_ON] = 1.0
    if this.entry.kind == "fire_lit":
        x[at.WOOD_M3] = max(0.0, x[at.WOOD_M3] - p[at.LIGHT_UP_WOOD_M3])


def _fire_out(this: Doing) -> None:
    this.x[at.FIRE_ON] = 0.0


def _gather(this: Doing) -> None:
    """Bring what is in the gathering tank in; by a line without one it has come by itself."""
    if this.tank is None:
        return
    emptied = "not_emptied" not in this.entry.flags
    told_m3 = None if emptied else this.volume_m3
    _move(this, this.tank, at.SAP, told_m3)


def _transfer(this: Doing) -> None:
    if this.tank is not None and this.to_tank is not None:
        _move(this, this.tank, this.to_tank, this.volume_m3)


def _lose(this: Doing) -> None:
    """Throw away, spill or sell: the volume told, or all; of the pan all of it."""
    p, x = this.p, this.x
    if this.entry.place == "pan":
        if this.volume_m3 is None:
            x[at.PAN_FILLED] = 0.0
            x[at.PAN_SUGAR : at.PAN_SUGAR + int(p[at.COMPARTMENTS])] = 0.0
        return
    if this.tank is None or (this.entry.kind == "spill" and this.volume_m3 is None):
        return  # what runs over a rim without a figure, the plant's own rims see to
    held_m3 = volume_m3(p, x, this.tank)
    if held_m3 > 0.0:
        share = 1.0 if this.volume_m3 is None else min(1.0, this.volume_m3 / held_m3)
        take_out(x, this.tank, share * (x[this.tank + at.WATER] + x[this.tank + at.SUGAR]))


def _bought(this: Doing) -> None:
    if this.volume_m3 is None:
        return
    brix = this.entry.value("brix")
    brix = this.plant.house.trees.sap_brix if brix is None else brix
    mass_kg = this.volume_m3 / this.p[at.WATER_M3_KG]
    sugar_kg = mass_kg * brix / 100.0
    pour_in(this.x, at.SAP, mass_kg - sugar_kg, sugar_kg, 1.0, 4.0)
    _stay_inside(this, at.SAP)


def _wood_in(this: Doing) -> None:
    this.x[at.WOOD_M3] += this.entry.value("wood") or 0.0


def _move(this: Doing, tank: int, to: int, told_m3: float | None) -> None:
    """Pour from tank to tank; what does not fit runs over."""
    p, x = this.p, this.x
    held_m3 = volume_m3(p, x, tank)
    if held_m3 <= 0.0:
        return
    share = 1.0 if told_m3 is None else min(1.0, told_m3 / held_m3)
    water_kg, sugar_kg = take_out(x, tank, share * (x[tank + at.WATER] + x[tank + at.SUGAR]))
    pour_in(x, to, water_kg, sugar_kg, x[tank + at.CELLS], x[tank + at.TEMPERATURE])
    _stay_inside(this, to)


def _stay_inside(this: Doing, tank: int) -> None:
    rim_m3 = next(rim for place, rim in tanks_of(this.plant).values() if place == tank)
    take_out(this.x, tank, mass_above_kg(this.p, this.x, tank, rim_m3))


_DOES: dict[str, Callable[[Doing], None]] = {
    "membrane_on": _membrane_on,
    "membrane_off": _membrane_off,
    "setpoint": _nothing,
    "rinse": _rinse,
    "wash": _wash,
    "new_membrane": _new_membrane,
    "fire_lit": _fire_burns,
    "stoke": _fire_burns,
    "draw": _fire_burns,
    "fire_out": _fire_out,
    "gather": _gather,
    "transfer": _transfer,
    "dump": _lose,
    "spill": _lose,
    "sap_bought": _bought,
    "sap_sold": _lose,
    "wood_in": _wood_in,
}
