"""What stands in the sugarhouse as a plan begins, as its report tells it."""

from __future__ import annotations

from dataclasses import dataclass


@dataclass(frozen=True)
class PointTank:
    """A gathering tank when the plan begins.

    Parameters
    ----------
    name : of the gathering point
    held_m3, brix, capacity_m3 : in its tank
    """

    name: str
    held_m3: float
    brix: float
    capacity_m3: float


@dataclass(frozen=True)
class Questioned:
    """A reading in the log that a plan does not believe.

    Parameters
    ----------
    place : "sap", "stock", "permeate" or "gathering:NAME", "membrane", "pan" ...
    quantity : "volume", "brix" ...
    at_s : UTC s of the reading
    value : as read, in SI
    typed : as it was written; empty where a sensor said it
    expected_low, expected_high : what was foretold, 5 and 95 %
    """

    place: str
    quantity: str
    at_s: float
    value: float
    typed: str
    expected_low: float
    expected_high: float


@dataclass(frozen=True)
class Standing:
    """How the house stands when the plan begins.

    Parameters
    ----------
    sap_m3, sap_brix, sap_capacity_m3 : in the sap tank
    sap_life_used : share of its keeping, 1 when spoiled
    stock_m3, stock_brix, stock_capacity_m3 : in the stock tank
    permeate_m3, permeate_capacity_m3 : in the permeate tank
    wood_m3 : on hand, stacked
    has_membrane : whether the house has one; else stock and permeate mean nothing
    boil_wood_m3 : what the shortest boil takes of wood, stacked
    fire_burns : whether a fire burns then
    read_s : UTC s of the reading of the sap tank from which the log was run forward to here; None
        where the levels were told
    gathered : the gathering tanks
    pan_brix : mean strength of what stands in the pan; 0 when it is empty, None where that is not
        known
    membrane_runs : whether the membrane runs then
    sap_logged_age_s, stock_logged_age_s : how old the log takes a tank's sap to be; None where its
        age was told, or there is no log
    questioned : readings in the log that are not believed until they are read again
    fire_dies_s : UTC s until which a fire that was let go before is too hot to be left; None
        without one
    """

    sap_m3: float
    sap_brix: float
    sap_capacity_m3: float
    sap_life_used: float
    stock_m3: float
    stock_brix: float
    stock_capacity_m3: float
    permeate_m3: float
    permeate_capacity_m3: float
    wood_m3: float
    has_membrane: bool
    boil_wood_m3: float = 0.0
    fire_burns: bool = False
    read_s: float | None = None
    gathered: tuple[PointTank, ...] = ()
    pan_brix: float | None = None
    membrane_runs: bool = False
    sap_logged_age_s: float | None = None
    stock_logged_age_s: float | None = None
    questioned: tuple[Questioned, ...] = ()
    fire_dies_s: int | None = None

    @property
    def is_hot(self) -> bool:
        """Tell whether a fire burns, or dies and is still too hot to be left."""
        return self.fire_burns or self.fire_dies_s is not None


@dataclass(frozen=True)
class WashDue:
    """A wash of the membrane that is due as the plan begins, and lacks its permeate.

    Parameters
    ----------
    run_s : that the membrane has run since its last wash
    takes_m3, has_m3 : permeate that a wash takes, and that there is for it
    possible_s : UTC s from which there is enough by the forecast, and somebody there for as long as
        it takes; None if not within the plan's hours
    planned_s : UTC s at which this plan washes it; None where it does not
    """

    run_s: float
    takes_m3: float
    has_m3: float
    possible_s: int | None
    planned_s: int | None


@dataclass(frozen=True)
class PanLeft:
    """What stands in the pan where no fire is planned, and hardly any sap is to come for one.

    Parameters
    ----------
    syrup_m3 : the syrup that its sugar makes
    brix : its mean strength
    """

    syrup_m3: float
    brix: float
