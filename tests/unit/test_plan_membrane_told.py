"""What a plan's words say of the membrane: in full, in the text message, in the calendar."""

from __future__ import annotations

from dataclasses import replace

from planning_cases import GALLON_M3
from sugarwright.cli.plan_message import message
from sugarwright.planning.action import Action, OwnHour, Trigger
from sugarwright.planning.calls import called
from sugarwright.planning.report import PlanReport
from told_cases import day_of, report_of, said, utc_s

SIX_S = utc_s("2026-03-19 10:00")  # 06:00 in New York
RUN = Action(
    "membrane on",
    SIX_S,
    Trigger("sap", 150 * GALLON_M3),
    flow_m3_s=1e-5,
    expected_s=SIX_S,
    caution="membrane",
)
AGAIN = replace(
    RUN,
    kind="again through the membrane",
    trigger=Trigger("stock", 60 * GALLON_M3),
    call_m3=255 * GALLON_M3,
    call_flow_m3_s=2e-5,
    again_brix=12.0,
)


def _report(*actions: Action) -> PlanReport:
    return report_of(day_of("2026-03-19 09:00", "2026-03-20 04:00", *actions))


def test_the_call_of_a_second_pass_is_of_the_sap_tank() -> None:
    text = said(_report(AGAIN))
    assert "with 255 gal in the sap tank at once, whatever the clock" in text
    assert "in the stock tank at once" not in text
    assert "if stock 60 gal; with sap 255 gal at once" in message(_report(AGAIN))


def test_a_second_pass_that_a_full_sap_tank_calls_for_waits_for_that_tank() -> None:
    told = called(AGAIN, SIX_S + 7200)
    assert told.trigger == Trigger("sap", 255 * GALLON_M3)
    assert told.own_hour == OwnHour(SIX_S + 7200, 60 * GALLON_M3, 1e-5)
    text = said(_report(told))
    assert "when the sap tank has 255 gal; else wait for it" in text
    assert "or from 08:00 on with 60 gal in the stock tank" in text
