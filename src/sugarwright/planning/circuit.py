"""What the sugarhouse's circuit does not carry together, though a plan may have it run together.

The simulator keeps membrane and blower apart where the circuit is too weak; a pump starts by its
float and asks nobody. So that is told where it may happen.
"""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import replace

from sugarwright.planning.action import Action, Overload
from sugarwright.plant.house import House

MEMBRANE = (
    "membrane on", "membrane runs on", "membrane on again", "again through the membrane",
    "membrane at need",
)  # fmt: skip
FIRE = ("light the fire", "keep the fire", "light the fire again", "fire at need")


def with_circuit(house: House, actions: Iterable[Action]) -> list[Action]:
    """Return a day's actions; the first of membrane and of fire says what is too much beside it.

    Parameters
    ----------
    house : as described: what has no current does not hang on the circuit
    actions : of one day, in order
    """
    told, found = set[str](), list[Action]()
    for action in actions:
        kinds = next((each for each in (MEMBRANE, FIRE) if action.kind in each), ())
        what = kinds[0] if kinds else ""
        overload = _overload(house, what) if what and what not in told else None
        told.add(what)
        found.append(action if overload is None else replace(action, overload=overload))
    return found


def _overload(house: House, what: str) -> Overload | None:
    """The least that is too much beside membrane or fire, where a pump has a part in it."""
    pumps_a = sum(each.pump.current_a for each in house.gathering if each.pump is not None)
    membrane_a = house.membrane.motor_current_a if house.membrane is not None else 0.0
    blower_a, breaker_a = house.fire.blower_current_a, house.electricity.circuit_a
    if pumps_a <= 0.0:
        return None
    own, own_a, other, other_a = "membrane", membrane_a, "blower", blower_a
    if what != MEMBRANE[0]:
        own, own_a, other, other_a = other, other_a, own, own_a
    if own_a <= 0.0:
        return None
    if own_a + pumps_a > breaker_a:
        return Overload((own, "pump"), own_a + pumps_a, breaker_a)
    both_a = own_a + other_a
    if other_a > 0.0 and both_a <= breaker_a < both_a + pumps_a:
        return Overload((own, other, "pump"), both_a + pumps_a, breaker_a)
    return None
