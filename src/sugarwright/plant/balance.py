"""Where every kilogram of water and of sugar went in a run."""

from __future__ import annotations

from collections.abc import Iterable, Mapping
from dataclasses import dataclass
from types import MappingProxyType

from sugarwright.plant import layout as at
from sugarwright.plant.assemble import Plant
from sugarwright.plant.pan_kernel import pan_mass_kg, pan_sugar_kg
from sugarwright.plant.tank_kernel import Floats


@dataclass(frozen=True)
class Parcel:
    """Water and sugar, kg.

    Parameters
    ----------
    water_kg, sugar_kg : masses
    """

    water_kg: float = 0.0
    sugar_kg: float = 0.0

    @property
    def mass_kg(self) -> float:
        """Both together."""
        return self.water_kg + self.sugar_kg

    def __add__(self, other: Parcel) -> Parcel:
        return Parcel(self.water_kg + other.water_kg, self.sugar_kg + other.sugar_kg)

    def __sub__(self, other: Parcel) -> Parcel:
        return Parcel(self.water_kg - other.water_kg, self.sugar_kg - other.sugar_kg)


@dataclass(frozen=True)
class Balance:
    """What came in, what left and what is held; in = out, but for rounding.

    Parameters
    ----------
    held_before, held : by place ("sap tank", "pan" ...), at the start and at the end
    brought : by source: "trees", "bucket" (water thrown into a pan that ran short)
    went_out : by end: "syrup", "steam", "permeate let go", "cleaning", "spilled", "dumped"
    """

    held_before: Mapping[str, Parcel]
    brought: Mapping[str, Parcel]
    went_out: Mapping[str, Parcel]
    held: Mapping[str, Parcel]

    @property
    def handled(self) -> Parcel:
        """All that was there at the start, and all that came in."""
        return total(self.held_before.values()) + total(self.brought.values())

    @property
    def error(self) -> Parcel:
        """What is missing (positive) or too much (negative) at the end."""
        return self.handled - total(self.went_out.values()) - total(self.held.values())

    @property
    def error_fraction(self) -> float:
        """The greater of the errors of water and of sugar, each as a share of all handled."""
        error, handled = self.error, self.handled
        pairs = ((error.water_kg, handled.water_kg), (error.sugar_kg, handled.sugar_kg))
        return max(abs(wrong) / max(whole, 1e-3) for wrong, whole in pairs)


def total(parcels: Iterable[Parcel]) -> Parcel:
    """Sum parcels."""
    return sum(parcels, Parcel())


def balance(plant: Plant, start: Floats, end: Floats, totals: Floats) -> Balance:
    """Draw up the balance of a run.

    Parameters
    ----------
    plant : the house
    start : state at the moment at which the totals were nothing
    end : state at the end
    totals : at the end

    Returns
    -------
    Balance
    """
    y = [float(value) for value in totals]
    return Balance(
        held_before=held(plant, start),
        brought=MappingProxyType(
            {
                "trees": Parcel(y[at.SAP_WATER_KG], y[at.SAP_SUGAR_KG]),
                "bucket": Parcel(y[at.BUCKET_WATER_KG]),
            }
        ),
        went_out=MappingProxyType(
            {
                "syrup": Parcel(y[at.SYRUP_WATER_KG], y[at.SYRUP_SUGAR_KG]),
                "steam": Parcel(y[at.STEAM_KG]),
                "permeate let go": Parcel(y[at.LET_GO_WATER_KG], y[at.LET_GO_SUGAR_KG]),
                "cleaning": Parcel(y[at.CLEANING_WATER_KG], y[at.CLEANING_SUGAR_KG]),
                "spilled": Parcel(y[at.SPILLED_WATER_KG], y[at.SPILLED_SUGAR_KG]),
                "dumped": Parcel(y[at.DUMPED_WATER_KG], y[at.DUMPED_SUGAR_KG]),
            }
        ),
        held=held(plant, end),
    )


def held(plant: Plant, state: Floats) -> Mapping[str, Parcel]:
    """Water and sugar in each tank and in the pan."""
    places = {"sap tank": at.SAP}
    if plant.p[at.HAS_MEMBRANE] > 0.0:
        places |= {"stock tank": at.STOCK, "permeate tank": at.PERMEATE}
    for g, gathering in enumerate(plant.house.gathering):
        if plant.points[g, at.OWN_TANK] > 0.0:
            places[f"tank of {gathering.name}"] = at.GATHERED + g * at.POINT_WIDTH
    found = {
        name: Parcel(float(state[tank + at.WATER]), float(state[tank + at.SUGAR]))
        for name, tank in places.items()
    }
    sugar_kg = float(pan_sugar_kg(plant.p, state))
    mass_kg = float(state[at.PAN_FILLED] * pan_mass_kg(plant.p))
    found["pan"] = Parcel(mass_kg - sugar_kg, sugar_kg)
    return MappingProxyType(found)
