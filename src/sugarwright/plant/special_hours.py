"""Hours that go otherwise than the house's description says: who is there, what is out of order.

They reach the simulator as columns of the calendar, so that they bind every plan in every weather:
no price buys a fire with nobody there, or a run of a membrane that stands open on the bench.
"""

from __future__ import annotations

from dataclasses import dataclass

MACHINES = ("membrane", "pump", "pan")
SOMEBODY = ""  # whoever it is: counts where nobody of the house is there


@dataclass(frozen=True)
class Presence:
    """A person who is there, or away, for some hours, whatever the usual hours say.

    Parameters
    ----------
    person : name as in the house's description; ``SOMEBODY`` for one more who counts where nobody
        else is there
    begin_s, end_s : UTC s
    there : whether the person is there
    for_what_runs : the person is only there to end what runs already: nothing new is begun then
    """

    person: str
    begin_s: int
    end_s: int
    there: bool
    for_what_runs: bool = False


@dataclass(frozen=True)
class Outage:
    """A machine that cannot be used for some hours.

    Parameters
    ----------
    machine : one of ``MACHINES``: the membrane (neither run, rinsed nor washed), the pumps that
        bring sap, the pan with its fire
    begin_s, end_s : UTC s
    """

    machine: str
    begin_s: int
    end_s: int


@dataclass(frozen=True)
class SpecialHours:
    """All that goes otherwise. Later ones of a person stand before earlier ones.

    Parameters
    ----------
    presence : of people
    outages : of machines
    """

    presence: tuple[Presence, ...] = ()
    outages: tuple[Outage, ...] = ()

    def __add__(self, other: SpecialHours) -> SpecialHours:
        return SpecialHours(self.presence + other.presence, self.outages + other.outages)


USUAL_HOURS = SpecialHours()
