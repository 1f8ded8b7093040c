"""What a plan says of machines that the sugarhouse's circuit does not carry together."""

from __future__ import annotations

from dataclasses import replace

import pytest

from outside_cases import EVENINGS, TUESDAY_S, gathering_house, words_of
from sugarwright.planning.action import Action, Overload
from sugarwright.planning.circuit import with_circuit
from sugarwright.plant.house import House
from sugarwright.saying.plan_actions import does_texts


def _house(breaker_a: float, membrane_a: float, pump_a: float, blower_a: float) -> House:
    house = gathering_house("pump", (EVENINGS,))
    assert house.membrane is not None
    gravity, pumped = house.gathering
    assert pumped.pump is not None
    return replace(
        house,
        electricity=replace(house.electricity, circuit_a=breaker_a),
        membrane=replace(house.membrane, motor_current_a=membrane_a),
        gathering=(gravity, replace(pumped, pump=replace(pumped.pump, current_a=pump_a))),
        fire=replace(house.fire, blower_current_a=blower_a),
    )


ON = Action("membrane on", TUESDAY_S, flow_m3_s=2e-5)
DAY = (ON, replace(ON, kind="membrane on again"), Action("light the fire", TUESDAY_S))


@pytest.mark.parametrize(
    ("currents", "membrane", "fire"),
    [
        ((10.0, 8.0, 5.0, 0.0), Overload(("membrane", "pump"), 13.0, 10.0), None),
        ((20.0, 8.0, 5.0, 4.0), None, None),
        ((10.0, 8.0, 0.0, 4.0), None, None),  # the pump hangs elsewhere; blower: the simulator's
        ((15.0, 8.0, 5.0, 4.0), Overload(("membrane", "blower", "pump"), 17.0, 15.0),
         Overload(("blower", "membrane", "pump"), 17.0, 15.0)),
        ((10.0, 4.0, 5.0, 7.0), None, Overload(("blower", "pump"), 12.0, 10.0)),
    ],
)  # fmt: skip
def test_what_the_circuit_does_not_carry_beside_a_pump_is_told_once(
    currents: tuple[float, float, float, float], membrane: Overload | None, fire: Overload | None
) -> None:
    found = with_circuit(_house(*currents), DAY)
    assert [each.overload for each in found] == [membrane, None, fire]


def test_the_membrane_s_line_says_what_is_too_much() -> None:
    (first, *_) = with_circuit(_house(10.0, 8.0, 5.0, 0.0), DAY)
    text = " ".join(does_texts(words_of(first), first))
    assert "the circuit does not carry membrane and pump together: 13 A of 10 A" in text
    assert "Keep the pump off meanwhile, and ask an electrician" in text
