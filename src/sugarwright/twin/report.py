"""What the twin says: plain values, SI, UTC seconds. Faces turn them into words."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, field

import numpy as np
from numpy.typing import NDArray

from sugarwright.twin.doubt import Doubt


@dataclass(frozen=True)
class Band:
    """How sure something is: 5 % of the members lie below, half, and 5 % above.

    Parameters
    ----------
    low, middle, high : 5, 50 and 95 percentiles
    """

    low: float
    middle: float
    high: float


@dataclass(frozen=True)
class When:
    """When something comes, if what runs now runs on and nothing is started.

    Parameters
    ----------
    probability : that it comes within the hours looked at
    early_s, middle_s, late_s : UTC s, 5, 50 and 95 % of the members in which it comes
    """

    probability: float
    early_s: float
    middle_s: float
    late_s: float


@dataclass(frozen=True)
class LastRead:
    """The last reading that was believed.

    Parameters
    ----------
    quantity : "volume", "brix", "temperature" ...
    at_s : UTC s
    measured : "depth" where a stick was read, "sensor" where a sensor said it
    value : in SI; of a depth the volume
    typed : as it was written
    """

    quantity: str
    at_s: float
    measured: str
    value: float
    typed: str


@dataclass(frozen=True)
class TankNow:
    """One tank.

    Parameters
    ----------
    place : "sap", "stock", "permeate" or "gathering:NAME"
    capacity_m3 : to the rim
    volume_m3, brix, temperature_c : now
    age_s : as old as sap that waited so long at 3 °C; of stock since it was sap
    life_used : share of its keeping, 1 when spoiled
    full, empty, spoiled : None where it does not come within the hours looked at
    read : last readings that were believed
    """

    place: str
    capacity_m3: float
    volume_m3: Band
    brix: Band
    temperature_c: Band
    age_s: Band
    life_used: Band
    full: When | None
    empty: When | None
    spoiled: When | None
    read: tuple[LastRead, ...]


@dataclass(frozen=True)
class MembraneNow:
    """The membrane.

    Parameters
    ----------
    on_probability : that it runs
    flow_m3_s : concentrate setting told last, or by habit
    permeate_m3_s, concentrate_brix : what it lets through, and makes, running as it is set
    condition : permeate flow against new, all told
    run_since_wash_s : running time since its wash
    stops : when a tank is full or down, and ends the run
    started_s, stopped_s, washed_s : UTC s, as last logged
    read : last readings
    unrinsed_s : UTC s of a stop of the last hours after which no rinse is logged, nor a wash or a
        run; None without one
    stops_itself : whether it has the cut-outs for both; else somebody must stop it then
    """

    on_probability: float
    flow_m3_s: float
    permeate_m3_s: Band | None
    concentrate_brix: Band | None
    condition: Band
    run_since_wash_s: Band
    stops: When | None
    started_s: float | None
    stopped_s: float | None
    washed_s: float | None
    read: tuple[LastRead, ...]
    unrinsed_s: float | None = None
    stops_itself: bool = False


@dataclass(frozen=True)
class PanNow:
    """Fire and pan.

    Parameters
    ----------
    fire_probability : that the fire burns, since somebody said so and how long ago
    filled_probability : that the pan holds liquid
    brix : its mean strength, where it is filled
    boil_m3_s : what it boils off at full fire
    drawn_m3 : syrup since the fire was lit; None while it is out
    reserve : when the feed is down to its reserve, or since when it is
    next_draw : when syrup may be drawn next, by sugar and heat alone; the thermometer decides
    lit_s, out_s : UTC s, as last logged
    read : last readings
    feed : place of the tank that feeds it
    reserve_m3 : feed that the burn-down takes, with what stays below its outlet
    word_s : UTC s of the last entry about a fire that was lit, stoked or drawn from, and of which
        nobody logged that it is out; None without one
    heat_fraction : of the full fire's heat, what one that the log has let go may still give, 95 %;
        0 where none dies or it may be left
    died_s : UTC s until which such a fire is too hot to be left; None where none is
    """

    fire_probability: float
    filled_probability: float
    brix: Band
    boil_m3_s: Band
    drawn_m3: Band | None
    reserve: When | None
    next_draw: When | None
    lit_s: float | None
    out_s: float | None
    read: tuple[LastRead, ...]
    feed: str = "sap"
    reserve_m3: float = 0.0
    word_s: float | None = None
    heat_fraction: float = 0.0
    died_s: float | None = None


@dataclass(frozen=True)
class Telling:
    """A reading that could be taken now, and what it would tell.

    Parameters
    ----------
    place, quantity : what to read
    share : of what is unsure of the sugar in the house and of that to come within a day
    """

    place: str
    quantity: str
    share: float


@dataclass(frozen=True)
class Departure:
    """A tank that stands otherwise than today's plan led to expect.

    Parameters
    ----------
    place : of the tank
    volume_m3 : median now
    planned_m3 : what was to be expected under the plan
    plan_s : UTC s at which it began
    """

    place: str
    volume_m3: float
    planned_m3: Band
    plan_s: float


@dataclass(frozen=True)
class NowReport:
    """Where everything stands.

    Parameters
    ----------
    house, timezone, units : its name, and how it wants to read it
    now_s : UTC s of what is said
    until_s : UTC s to which times were looked for
    entries : logbook entries that it stands on
    first_s, last_s : UTC s of the first and the last of them; None without any
    tanks, membrane, pan : as they stand; no membrane: None
    wood_m3 : on hand, stacked
    coming_m3 : sap of the next 24 hours
    scale : sap per tap against an ordinary bush in the same weather
    run : the same of the run of sap that is under way, by what has come of it so far
    weather_source, weather_known_s : "" and None where none is kept
    cautions : of the weather, in sentences
    doubts : questioned readings of the last days
    telling : which readings would tell most, the best first
    departures : from the plan that is under way; none without one
    """

    house: str
    timezone: str
    units: str
    now_s: float
    until_s: float
    entries: int
    first_s: float | None
    last_s: float | None
    tanks: tuple[TankNow, ...]
    membrane: MembraneNow | None
    pan: PanNow
    wood_m3: Band
    coming_m3: Band
    scale: Band
    run: Band
    weather_source: str
    weather_known_s: float | None
    cautions: tuple[str, ...]
    doubts: tuple[Doubt, ...]
    telling: tuple[Telling, ...]
    departures: tuple[Departure, ...] = ()


@dataclass(frozen=True, eq=False)
class Planned:
    """A plan under way.

    Parameters
    ----------
    begin_s : UTC s at which it began
    rows : (days, ``PLAN_WIDTH``), the first being the local day of ``begin_s``
    began_m3 : what it took to be in each tank when it began, by place; empty where it doesn't say
    """

    begin_s: float
    rows: NDArray[np.float64]
    began_m3: Mapping[str, float] = field(default_factory=dict)
