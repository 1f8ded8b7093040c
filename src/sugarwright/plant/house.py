"""The described sugarhouse: one value that everything else starts from.

Each key of ``sugarhouse.toml`` is described once, where its attribute is declared: kind of unit,
default, range, help and source. Reader, commented file, check and reference page come from that.
"""

from __future__ import annotations

from sugarwright.plant.fields import list_of, section, table_of
from sugarwright.plant.house_gathering import Gathering, Pump, Trips
from sugarwright.plant.house_membrane import Membrane
from sugarwright.plant.house_pan import Electricity, Fire, Pan
from sugarwright.plant.house_people import Chore, Habit, Person, Prices
from sugarwright.plant.house_site import Keeping, Site, Trees
from sugarwright.plant.house_tank import Tank


@section("Sugarhouse")
class House:
    """A sugarhouse as described: SI values, checked, immutable."""

    site: Site = table_of(Site)
    gathering: tuple[Gathering, ...] = list_of(Gathering, fewest=1, most=50)
    sap_tank: Tank = table_of(
        Tank,
        key="tank.sap",
        title="The sap tank",
        help="Where gathered sap waits.",
        ask="Volume of the sap tank?",
    )
    membrane: Membrane | None = table_of(
        Membrane, default=None, ask="Have you a membrane (reverse osmosis)?"
    )
    stock_tank: Tank | None = table_of(
        Tank,
        key="tank.stock",
        title="The stock tank",
        default=None,
        help="Where concentrate waits for the pan. Only with a membrane.",
        ask="Volume of the stock tank, where concentrate waits?",
    )
    permeate_tank: Tank | None = table_of(
        Tank,
        key="tank.permeate",
        title="The permeate tank",
        default=None,
        help="Where permeate waits for rinse and wash; the rest runs off. Only with a membrane.",
        ask="Volume of the permeate tank?",
    )
    pan: Pan = table_of(Pan)
    fire: Fire = table_of(Fire)
    people: tuple[Person, ...] = list_of(Person, fewest=1, most=20)
    chores: tuple[Chore, ...] = list_of(Chore, key="chore", most=50)
    electricity: Electricity = table_of(Electricity)
    prices: Prices = table_of(Prices)
    trees: Trees = table_of(Trees)
    keeping: Keeping = table_of(Keeping)
    habit: Habit = table_of(Habit)


__all__ = [
    "Chore",
    "Electricity",
    "Fire",
    "Gathering",
    "Habit",
    "House",
    "Keeping",
    "Membrane",
    "Pan",
    "Person",
    "Prices",
    "Pump",
    "Site",
    "Tank",
    "Trees",
    "Trips",
]
