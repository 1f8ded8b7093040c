"""A plan in words: 80 columns, the house's own clock and units, nothing that the report lacks."""

from __future__ import annotations

import re
from collections.abc import Iterator
from dataclasses import replace
from datetime import UTC, datetime
from typing import Any

import pytest
from pydantic import TypeAdapter

from planning_cases import (
    GALLON_M3,
    Planner,
    demo_house,
    forecast_from,
    local_s,
    quick,
    recording,
    usual_levels,
)
from sugarwright.cli.output import as_json
from sugarwright.cli.plan_message import MOST_LETTERS, message
from sugarwright.cli.plan_text import plan_lines
from sugarwright.planning.action import Action, OwnHour, Reason, Slack, Trigger, Wait
from sugarwright.planning.beginning import Standing
from sugarwright.planning.cautions import CAUTIONS
from sugarwright.planning.report import AirMark, Learnt, Mark, Morning, PlanReport, Range, Watch
from sugarwright.plant.assemble import assemble
from sugarwright.plant.house import House
from sugarwright.saying.plan_gauges import gauge_text
from sugarwright.saying.plan_parts import expected_text, standing_text
from sugarwright.saying.plan_reasons import why_text
from sugarwright.saying.plan_words import PlanWords
from sugarwright.weather.hours import HOUR_S, HourlyWeather
from told_cases import MONEY, WAY, day_of, report_of, utc_s
from told_cases import said as text_of

SATURDAY = "2015-03-21 05:10"
HOURS = 36
US_UNITS = r"(?<![a-z])(gal|qt|fl oz|°F|cords?|ft|in(?! \d)|psi|lb|gal/min|gal/h)\b"


@pytest.fixture(scope="module")
def planner() -> Iterator[Planner]:
    """Return a planner of small searches."""
    with pytest.MonkeyPatch.context() as patch:
        quick(patch)
        yield recording(patch)


def _found(planner: Planner, truth: HourlyWeather, house: House) -> PlanReport:
    now_s = local_s(SATURDAY)
    known = forecast_from(truth, now_s, HOURS)
    return planner(assemble(house), known, usual_levels(), now_s, HOURS).report


@pytest.fixture(scope="module")
def found(planner: Planner, whately_2015: HourlyWeather) -> PlanReport:
    """Return the plan of a Saturday with a run."""
    return _found(planner, whately_2015, demo_house())


def _lines(report: PlanReport) -> list[str]:
    return "\n".join(plan_lines(report)).splitlines()


@pytest.mark.parametrize(
    ("older_money", "told"),
    [
        (0.0, "without it: $60 less, 0.8 gal less syrup"),
        (15.0, "without it: $60 less, 0.8 gal less syrup"),
        (31.0, "without it: $60 less ($31 of it for older, darker syrup), 0.8 gal less syrup"),
        (75.0, "without it: $60 less (most of it for older, darker syrup), 0.8 gal less syrup"),
    ],
)
def test_a_reason_names_age_where_that_is_a_large_part_of_it(older_money: float, told: str) -> None:
    reason = Reason(60.0, 0.8 * GALLON_M3, 0.0, 0.0, older_money)
    light = Action("light the fire", utc_s("2026-03-19 21:00"), reason=reason)
    report = _made_up(("2026-03-19 09:10", "2026-03-20 04:00", (light,)))
    assert why_text(PlanWords(report), light) == told
    assert told in text_of(report)


@pytest.mark.parametrize(
    ("kind", "when", "told"),
    [
        ("light the fire", "2026-03-19 21:00", "without a fire today: $124 less"),
        ("keep the fire", "2026-03-19 21:00", "without the fire today: $124 less"),
        ("membrane on", "2026-03-19 21:00", "without the membrane today: $124 less"),
        ("membrane on", "2026-03-20 21:00", "without the membrane that day: $124 less"),
    ],
)
def test_a_reason_of_the_day_names_the_machine(kind: str, when: str, told: str) -> None:
    """An "it" would be the hour alone, and a full tank calls all the same."""
    reason = Reason(124.0, 0.0, 57 * GALLON_M3, 0.0, of_day=True)
    action = Action(kind, utc_s(when), reason=reason)
    days = (
        ("2026-03-19 09:10", "2026-03-20 04:00", ()),
        ("2026-03-20 04:00", "2026-03-21 04:00", (action,)),
    )
    assert why_text(PlanWords(_made_up(*days)), action) == f"{told}, 57 gal of sap lost"


def _at(clock: str, kind: str, **more: Any) -> Action:
    return Action(kind, utc_s(f"2026-03-19 {clock}"), **more)


def _busy(*more: Action) -> PlanReport:
    """A day with two fires, as a made-up report has it."""
    days = (
        _at("11:10", "membrane on", flow_m3_s=1.5e-5),
        _at("11:10", "keep the fire"),
        _at("13:15", "let the fire go", reserve_m3=0.06, leave_s=utc_s("2026-03-19 14:24")),
        _at("21:00", "light the fire again", trigger=Trigger("stock", 0.3)),
        *more,
        _at("23:50", "let the fire go", reserve_m3=0.06, leave_s=utc_s("2026-03-20 01:19")),
        Action("drain before the frost", utc_s("2026-03-20 01:30")),
    )
    return _made_up(("2026-03-19 11:10", "2026-03-20 04:00", days))


def test_a_day_of_many_actions_shows_the_end_of_a_fire_with_it() -> None:
    report = _busy(_at("21:30", "again through the membrane", flow_m3_s=1.5e-5))
    starts = [line[:9].split() for line in _lines(report) if re.match(r" \d  \d\d:\d\d", line)]
    assert starts == [
        ["1", "07:10"], ["2", "07:10"], ["4", "17:00"], ["5", "17:30"], ["7", "21:30"],
    ]  # fmt: skip
    text = text_of(report)
    assert (
        "09:15 (3) last wood when 16 gal of feed is left, to keep liquid over the whole floor"
        in text
    )
    assert "19:50 (6) last wood" in text
    assert text.count("stay until it has died down") == 2
    assert text.index("(6) last wood") < text.index("5 17:30")  # with its own fire


def test_a_day_of_six_actions_shows_each_at_its_hour() -> None:
    text = text_of(_busy())
    assert "3 09:15 last wood" in text
    assert "5 19:50 last wood" in text


def test_wood_and_power_have_ranges_as_all_else_that_is_expected() -> None:
    cord_m3, kwh_j = 128 * 0.3048**3, 3.6e6
    report = _made_up(("2026-03-19 09:10", "2026-03-20 04:00", ()))
    day = replace(
        report.days[0],
        fire_s=Range(3600.0, 7200.0, 10800.0),
        wood_m3=Range(0.1 * cord_m3, 0.16 * cord_m3, 0.2 * cord_m3),
        energy_j=Range(0.0, 11 * kwh_j, 14 * kwh_j),
    )
    said = expected_text(PlanWords(report), day)
    assert "0.16 cord (0.10 to 0.20) of wood" in said
    assert "11 kWh (0 to 14) of power" in said


# --- a report made up for its words --------------------------------------------------------------


def _made_up(*days: tuple[str, str, tuple[Action, ...]], **changes: Any) -> PlanReport:
    """A report of invented days: begin and end (UTC) and actions."""
    standing = Standing(0.8, 1.9, 1.6, 0.15, 0.1, 5.8, 0.5, 0.5, 1.0, 8.0, has_membrane=True)
    made = (day_of(begin, end, *actions) for begin, end, actions in days)
    return report_of(*made, **{"standing": standing, **changes})


def _light(time_s: int, **changes: Any) -> Action:
    action = Action(
        "light the fire",
        time_s,
        Trigger("stock", 50 * GALLON_M3),
        latest_s=time_s + 2 * HOUR_S,
        expected_s=time_s,
        until_s=time_s + 3 * HOUR_S,
        ends="reserve",
        syrup_m3=4 * GALLON_M3,
        draws=10,
        first_draw_s=time_s + HOUR_S,
        caution="fire",
    )
    return replace(action, **changes)


def test_what_is_done_on_coming_in_says_so() -> None:
    time_s = utc_s("2015-03-07T22:00")
    days = SPRING[0][:2]
    by_the_clock = text_of(_made_up((*days, (_light(time_s),))))
    on_arrival = text_of(_made_up((*days, (_light(time_s, on_arrival=True),))))
    assert "first thing when you come in" in on_arrival
    assert "first thing when you come in" not in by_the_clock


# Clocks go forward in New York on Sunday 8 March 2015 at 07:00Z (Energy Policy Act of 2005: the
# second Sunday of March) and back on Sunday 1 November at 06:00Z.
SPRING = (
    ("2015-03-07T10:00", "2015-03-08T05:00", (_light(utc_s("2015-03-07T22:00")),)),
    ("2015-03-08T05:00", "2015-03-09T04:00", (_light(utc_s("2015-03-08T22:00")),)),
)
AUTUMN = (
    ("2015-10-31T10:00", "2015-11-01T04:00", (_light(utc_s("2015-10-31T22:00")),)),
    ("2015-11-01T04:00", "2015-11-02T05:00", (_light(utc_s("2015-11-01T22:00")),)),
)


@pytest.mark.parametrize(
    ("days", "today", "tomorrow"), [(SPRING, "17:00", "18:00"), (AUTUMN, "18:00", "17:00")]
)
def test_clocks_are_the_house_s_own_across_a_change(
    days: tuple[tuple[str, str, tuple[Action, ...]], ...], today: str, tomorrow: str
) -> None:
    text = text_of(_made_up(*days))
    assert f"1 {today} light the fire" in text
    assert f"sun {tomorrow} light the fire" in text


@pytest.mark.parametrize(
    ("timezone", "clock"),
    [("America/Chicago", "16:00"), ("Europe/Berlin", "23:00"), ("America/St_Johns", "18:30")],
)
def test_another_zone_has_another_clock(timezone: str, clock: str) -> None:
    report = _made_up(*SPRING, timezone=timezone)
    assert f"1 {clock} light the fire" in text_of(report)


def test_what_falls_on_another_day_names_it() -> None:
    late = utc_s("2015-03-11T01:00")  # 21:00 of the Tuesday
    action = Action(
        "membrane on",
        late,
        Trigger("sap", 0.3),
        flow_m3_s=0.2 * GALLON_M3 / 60.0,
        expected_s=late,
        until_s=late + 8 * HOUR_S,
        ends="sap tank down",
        caution="membrane",
    )
    text = text_of(_made_up(("2015-03-10T04:00", "2015-03-11T04:00", (action,))))
    assert "21:00 membrane on" in text
    assert "till about Wednesday 05:00" in text


def test_an_action_says_its_gauge_and_its_limit() -> None:
    time_s = utc_s("2015-03-10T21:00")
    slack = Slack(time_s - HOUR_S, time_s + HOUR_S, 3.0)
    reason = Reason(12.4, 3 * GALLON_M3, 40 * GALLON_M3, 0.3)
    light = _light(time_s, expected_s=time_s + 1800, slack=slack, reason=reason)
    text = text_of(_made_up(("2015-03-10T04:00", "2015-03-11T04:00", (light,))))
    assert "17:00 light the fire, when the stock tank has 50 gal; else wait for it" in text
    assert "not after 19:00" in text
    assert "expected at 17:30" in text
    assert "4.0 gal of syrup in 10 draws" in text
    assert "any time from 16:00 to 18:00 costs under $3" in text
    assert "$12 less" in text
    assert "3.0 gal less syrup" in text
    assert "a full sap tank 30% likelier" in text
    assert "if the stock tank is under 50 gal at 19:00: no fire that day" in text


def test_a_call_before_the_hour_says_what_holds_from_the_hour_on() -> None:
    time_s = utc_s("2015-03-10T21:00")
    hour = OwnHour(time_s + HOUR_S, 30 * GALLON_M3)
    light = _light(time_s, own_hour=hour)
    text = text_of(_made_up(("2015-03-10T04:00", "2015-03-11T04:00", (light,))))
    assert "17:00 light the fire, when the stock tank has 50 gal; else wait for it" in text
    assert "or from 18:00 on with 30 gal about 4.0 gal of syrup" in text  # its next line
    assert "if the stock tank is under 30 gal at 19:00: no fire that day" in text
    hour = OwnHour(time_s + HOUR_S, 45 * GALLON_M3, 1e-5)
    membrane = replace(_many(0), time_s=time_s, flow_m3_s=2e-5, own_hour=hour)
    text = text_of(_made_up(("2015-03-10T04:00", "2015-03-11T04:00", (membrane,))))
    assert "concentrate at 0.32 gal/min, when the sap tank has 90 gal; else wait for it" in text
    assert "or from 18:00 on with 45 gal, at 0.16 gal/min" in text


@pytest.mark.parametrize(
    ("gallons", "said"),
    [
        ((45, 60, 90), "under 45 gal or over 90 gal at"),
        ((58, 60, 62), "under 47 gal or over 73 gal at"),  # a tenth of 132 gal off is no departure
        ((2, 8, 50), "over 50 gal at"),
        ((80, 110, 130), "under 80 gal at"),
    ],
)
def test_what_is_off_its_course_is_told_in_gallons(
    gallons: tuple[float, float, float], said: str
) -> None:
    time_s = utc_s("2015-03-10T21:00")
    day = ("2015-03-10T04:00", "2015-03-11T04:00", (_light(time_s),))
    mark = Mark("stock", time_s - 600, Range(*(each * GALLON_M3 for each in gallons)))
    text = text_of(_made_up(day, mark=mark))
    assert f"if the stock tank holds {said} 16:50: plan again" in text
    assert "far from what this says" in text_of(_made_up(day))


def test_where_one_line_is_all_that_would_change_a_plan_the_air_is_another() -> None:
    time_s = utc_s("2015-03-10T21:00")
    go = Action("let the fire go", time_s)  # no gauge of a fire to be lit
    air = AirMark(time_s, -1.0, 5.0)

    def said(action: Action, **known: object) -> str:
        day = ("2015-03-10T04:00", "2015-03-11T04:00", (action,))
        return text_of(_made_up(day, air_mark=air, **known))

    line = "if the air is under 30 °F or over 41 °F about 17:00: plan again"
    assert line in said(go)
    assert line not in said(replace(_light(time_s), latest_s=time_s + HOUR_S))


def test_a_fire_to_be_lit_now_asks_for_no_reading_of_tonight() -> None:
    midnight_s = utc_s("2015-03-10T04:00")
    day = ("2015-03-10T04:00", "2015-03-11T04:00")
    here = Trigger("stock", 20 * GALLON_M3)  # there are 26 gal
    text = text_of(_made_up((*day, (_light(midnight_s, trigger=here),))))
    assert "no fire that day" not in text
    text = text_of(_made_up((*day, (_light(midnight_s, trigger=replace(here, at_least_m3=0.2)),))))
    assert "no fire that day" in text


@pytest.mark.parametrize(
    ("expected", "said"), [(0.2, "there won't be enough permeate"), (0.4, "it won't come to that")]
)
def test_a_wash_that_will_not_be_says_why(expected: float, said: str) -> None:
    wash = Action(
        "wash the membrane",
        utc_s("2015-03-10T21:00"),
        Trigger("permeate", 0.3),
        after_run_s=3 * HOUR_S,
        permeate_needed_m3=0.3,
        permeate_expected_m3=expected,
    )
    text = text_of(_made_up(("2015-03-10T04:00", "2015-03-11T04:00", (wash,))))
    assert f"by the forecast {said}" in text


@pytest.mark.parametrize(
    ("missed_k", "said"),
    [
        (-2.0, ". Lately 4 °F colder than it had said: the hours ahead are moved by that"),
        (1.7, ". Lately 3 °F warmer than it had said"),
        (0.9, ""),
        (None, ""),
    ],
)
def test_a_forecast_that_has_missed_so_far_is_told(missed_k: float | None, said: str) -> None:
    light = _light(utc_s("2015-03-10T21:00"))
    day = ("2015-03-10T04:00", "2015-03-11T04:00", (light,))
    text = text_of(_made_up(day, forecast_missed_k=missed_k))
    assert said in text
    assert ("than it had said" in text) == bool(said)


def test_what_the_gauge_will_not_show_is_said() -> None:
    light = _light(
        utc_s("2015-03-10T21:00"), expected_s=None, until_s=None, syrup_m3=None, draws=None
    )
    text = text_of(_made_up(("2015-03-10T04:00", "2015-03-11T04:00", (light,))))
    assert "by the forecast the tank won't have it" in text
    assert "draws" not in text


def test_a_later_day_with_nothing_at_an_hour_has_no_line() -> None:
    need_s = utc_s("2015-03-11T10:00")
    need = Action("fire at need", need_s, Trigger("stock", 0.4), expected_s=need_s)
    go = Action("let the fire go", need_s + 2 * HOUR_S)
    days = (
        ("2015-03-10T04:00", "2015-03-11T04:00", (_light(utc_s("2015-03-10T21:00")),)),
        ("2015-03-11T04:00", "2015-03-12T04:00", (need, go)),
    )
    text = "\n".join(plan_lines(_made_up(*days)))
    assert "planned anew" not in text
    assert "\n\n\n" not in text
    assert "\nwed" not in text
    lit = (days[0], (*days[1][:2], (_light(need_s),)))
    text = "\n".join(plan_lines(_made_up(*lit)))
    assert "\nwed      06:00 light the fire (planned anew)\n" in text


def test_each_hazard_comes_with_its_caution() -> None:
    time_s = utc_s("2015-03-10T21:00")
    actions = (
        _light(time_s),
        Action("let the fire go", time_s + 2 * HOUR_S, reserve_m3=0.06, caution="burn-down"),
        Action(
            "wash the membrane",
            time_s + 3 * HOUR_S,
            Trigger("permeate", 0.23),
            permeate_needed_m3=0.23,
            permeate_expected_m3=0.5,
            caution="wash",
        ),
        Action(
            "drain before the frost",
            time_s + 4 * HOUR_S,
            expected_s=time_s + 5 * HOUR_S,
            caution="frost",
        ),
    )
    text = text_of(_made_up(("2015-03-10T04:00", "2015-03-11T04:00", actions)))
    for key in ("fire", "burn-down", "wash", "frost"):
        assert text.count(CAUTIONS[key]) == 1


def test_every_kind_of_action_has_its_caution_and_words() -> None:
    time_s = utc_s("2015-03-10T21:00")
    for kind in ("membrane on", "membrane on again", "stop the membrane", "rinse the membrane"):
        flow_m3_s = None if kind.startswith(("stop", "rinse")) else 1e-5
        action = Action(kind, time_s, Trigger("sap", 0.2), flow_m3_s=flow_m3_s, caution="membrane")
        text = text_of(_made_up(("2015-03-10T04:00", "2015-03-11T04:00", (action,))))
        assert kind in text
        assert CAUTIONS["membrane"] in text


FROST = Wait("frost", utc_s("2015-03-10T14:00"))


@pytest.mark.parametrize(
    ("changes", "said"),
    [
        (
            {"waits": (FROST,)},
            "it freezes where the membrane stands until about 10:00: not before it has thawed",
        ),
        (
            {"waits": (Wait("frost", None),), "expected_s": None},
            "it freezes where the membrane stands all day by what is known",
        ),
        ({"waits": (Wait("wash", FROST.until_s),)}, "once it is washed or rinsed, and not before"),
        (
            {"waits": (Wait("stock tank full", FROST.until_s),)},
            "the stock tank is too full until about 10:00: not before it is under 119 gal",
        ),
        ({"rinse_m3": 0.08}, "rinse it then with 21 gal of permeate"),
        (
            {"rinse_m3": 0.08, "rinse_has_m3": 0.01},
            "its rinse takes 21 gal of permeate, and there will be only about 3 gal: until there "
            "is enough, keep it wet as its maker directs",
        ),
        ({"rinse_m3": 0.08, "ends": "time"}, "stop it then, for the wash Thursday"),
        (
            {"again_brix": 8.0, "again_when": "stock tank full"},
            "when the stock tank is full, about 17:30, let it draw from the stock tank",
        ),
        (
            {"again_brix": 8.0, "again_when": "sap tank down"},
            "when the sap tank is down, about 17:30, let it draw from the stock tank",
        ),
        (
            {"ends": "stock tank low", "reserve_m3": 0.0757},
            "stop it when the stock tank is down to 20 gal",
        ),
    ],
)
def test_a_run_of_the_membrane_says_what_holds_it_up_and_what_follows(
    changes: dict[str, Any], said: str
) -> None:
    time_s = utc_s("2015-03-10T21:00")
    run = replace(
        Action("membrane on", time_s, Trigger("sap", 0.2), flow_m3_s=1e-5, caution="membrane"),
        expected_s=time_s, until_s=time_s + HOUR_S, again_s=time_s + 1800, ends="hour",
    )  # fmt: skip
    text = text_of(_made_up(("2015-03-10T04:00", "2015-03-11T04:00", (replace(run, **changes),))))
    assert said.removesuffix(" Thursday") in text
    assert ("rinse it then" in text) == ("rinse it then" in said)


def test_a_call_in_a_frost_says_to_wait_for_the_thaw() -> None:
    time_s = utc_s("2015-03-10T09:30")
    need = Action("membrane at need", time_s, Trigger("sap", 1.4), waits=(FROST,), flow_m3_s=1e-5)
    text = text_of(_made_up(("2015-03-10T04:00", "2015-03-11T04:00", (need,))))
    assert "start the membrane at once if the sap tank has 370 gal, concentrate at" in text
    assert "until about 10:00: not before it has thawed" in text


def test_what_runs_is_told_to_stop_at_once_or_later() -> None:
    time_s = utc_s("2015-03-10T21:00")
    day = ("2015-03-10T04:00", "2015-03-11T04:00")
    now = Action("stop the membrane", time_s, ends="frost", rinse_m3=0.08, caution="membrane")
    text = text_of(_made_up((*day, (now,))))
    assert "17:00 stop the membrane now: it freezes where the membrane stands" in text
    assert "rinse it at once with 21 gal of permeate" in text
    later = replace(now, runs_at_m3_s=1e-5, ends="people leave")
    text = text_of(_made_up((*day, (later,))))
    assert "let the membrane run on until then, concentrate at 0.16 gal/min, and stop it" in text
    assert "before you leave rinse it then with 21 gal of permeate" in text
    said = message(_made_up((*day, (later, replace(now, rinse_has_m3=0.01)))))
    assert "17:00 stop the membrane and rinse it. 17:00 stop the membrane." in said


WASH = Action(
    "wash the membrane",
    utc_s("2015-03-10T21:00"),
    Trigger("permeate", 60 * GALLON_M3),
    after_run_s=3 * HOUR_S,
    permeate_needed_m3=60 * GALLON_M3,
    permeate_expected_m3=0.5,
    caution="wash",
)


def test_a_wash_keeps_its_gauge_wherever_it_is_told() -> None:
    report = _made_up(("2015-03-10T04:00", "2015-03-11T04:00", (WASH,)))
    assert "17:00 wash the membrane if it has run 3 h and permeate 60 gal." in message(report)
    gauge = gauge_text(PlanWords(report), WASH)
    assert gauge.startswith("if it has run 3 h or more since the last wash and the permeate tank")
    assert "has 60 gal; else leave it" in gauge


def test_a_wash_says_what_to_keep_for_it_and_that_the_rest_may_go() -> None:
    day = ("2015-03-10T04:00", "2015-03-11T04:00")
    assert "keep 60 gal for it until then, and what a rinse takes; more may go" in text_of(
        _made_up((*day, (WASH,)))
    )
    scarce = replace(WASH, permeate_expected_m3=70 * GALLON_M3)
    assert "may go" not in text_of(_made_up((*day, (scarce,))))


@pytest.mark.parametrize(("units", "said"), [("us", "0.14 gal/min"), ("metric", "0.54 L/min")])
def test_a_valve_has_one_unit(units: str, said: str) -> None:
    time_s = utc_s("2015-03-10T21:00")
    run = Action("membrane on", time_s, Trigger("sap", 0.2), flow_m3_s=9e-6, caution="membrane")
    report = _made_up(("2015-03-10T04:00", "2015-03-11T04:00", (run,)), units=units)
    assert f"concentrate at {said}" in text_of(report)
    assert f"membrane on {said}" in message(report)


EVERY_BROKEN = (
    "no weather", "fire alone", "pan short of feed", "nobody there", "sap spoiled", "stock spoiled",
    "membrane frozen out", "membrane out of order", "pan out of order", "no wood for a boil",
    "taps not set",
)  # fmt: skip


def test_risks_and_what_was_broken_are_said() -> None:
    day = ("2015-03-10T04:00", "2015-03-11T04:00", ())
    watch = Watch("sap tank full", 0.32, utc_s("2015-03-10T22:10"), utc_s("2015-03-10T18:00"))
    report = _made_up(day, watch=(watch,), broken=("pan short of feed",))
    text = text_of(report)
    assert "sap tank full: 3 in 10, about 18:10, hardly before 14:00" in text
    assert "cannot keep the hot pan in feed" in text
    assert "Nothing to do today." in text


def test_what_had_to_be_broken_and_who_is_counted_stand_first() -> None:
    day = ("2015-03-10T04:00", "2015-03-11T04:00", ())
    kinds = tuple(EVERY_BROKEN)
    report = _made_up(
        day, broken=kinds, tapped_s=utc_s("2015-03-11T16:00"),
        counted_until_s=utc_s("2015-03-10T22:00"),
    )  # fmt: skip
    text = "\n".join(plan_lines(report))
    title, *lines = text.splitlines()
    assert "2015" in title
    told = [line for line in lines if line.startswith("!  ")]
    before = lines[: next(k for k, line in enumerate(lines) if line.startswith("weather"))]
    assert len([line for line in before if line.startswith("!        ")]) == len(kinds) + 1
    assert len(told) == len(kinds) + 1
    assert "Wednesday 11 March, after the plan's end, and no sap is counted on" in " ".join(
        text.split()
    )
    assert "one person is counted there until 18:00" in " ".join(text.split())


def test_a_loss_against_the_habit_is_not_hidden() -> None:
    day = ("2015-03-10T04:00", "2015-03-11T04:00", ())
    worse = replace(WAY, money=replace(MONEY, net=21.0))
    assert "worth $12 less" in text_of(_made_up(day, plan=worse))
    assert "worth $12 more" in text_of(_made_up(day, habit=worse))


# --- reports as planned --------------------------------------------------------------------------


def test_no_line_is_longer_than_the_page(found: PlanReport) -> None:
    assert max(map(len, _lines(found))) <= 80
    for name in ("Invented sugarhouse at the far end of the long road behind the second hill",):
        assert max(map(len, _lines(replace(found, forecast_source=name * 2)))) <= 80


def test_a_metric_house_reads_metric_only(planner: Planner, whately_2015: HourlyWeather) -> None:
    house = demo_house()
    metric = replace(house, site=replace(house.site, units="metric"))
    text = text_of(_found(planner, whately_2015, metric)).split(" ! ")[0]
    assert not re.findall(r"\d ?" + US_UNITS, text)
    assert "°C" in text
    assert " L" in text


def test_a_house_of_the_us_reads_no_metric(found: PlanReport) -> None:
    assert not re.findall(r"\d ?(mL|L|m3|m³|°C|stere|L/h|L/min)\b", text_of(found))


def test_the_json_is_the_report(found: PlanReport) -> None:
    read = TypeAdapter(PlanReport).validate_json(as_json(found))
    assert read == found
    assert _lines(read) == _lines(found)


def test_the_text_tells_what_the_json_tells(found: PlanReport) -> None:
    text = text_of(found)
    day = next(day for day in found.days if day.actions)
    for action in day.actions:
        # New York keeps UTC-4 in the second half of March
        clock = datetime.fromtimestamp(action.time_s - 4 * HOUR_S, UTC).strftime("%H:%M")
        said = {"let the fire go": "last wood", "drain before the frost": "drain pump"}
        assert f"{clock} {said.get(action.kind, action.kind)}" in text
        if action.syrup_m3 is not None:
            assert f"about {action.syrup_m3 / GALLON_M3:.1f} gal of syrup" in text
        if action.trigger is not None and action.kind != "wash the membrane":
            assert f"has {action.trigger.at_least_m3 / GALLON_M3:.0f} gal" in text
    gain = found.plan.money.net - found.habit.money.net
    assert f"worth ${abs(gain):,.0f} {'more' if gain >= 0 else 'less'}" in text
    assert f"air {day.low_c * 1.8 + 32:.0f} °F to {day.high_c * 1.8 + 32:.0f} °F" in text


def test_the_same_morning_reads_the_same(
    found: PlanReport, planner: Planner, whately_2015: HourlyWeather
) -> None:
    again = _found(planner, whately_2015, demo_house())
    assert _lines(again) == _lines(found)


# --- as a text message ---------------------------------------------------------------------------

MESSAGE_DAY = ("2026-03-19 09:00", "2026-03-20 04:00")
MESSAGE_S = utc_s(MESSAGE_DAY[0])


def _many(number: int) -> Action:
    at_s = MESSAGE_S + 900 * number
    return Action("membrane on", at_s, Trigger("sap", 90 * GALLON_M3), flow_m3_s=1e-5)


def test_a_message_says_clock_setting_and_gauge() -> None:
    text = message(_made_up((*MESSAGE_DAY, (_many(0),))))
    assert text.startswith("Thursday: 05:00 membrane on 0.16 gal/min if sap 90 gal.")
    assert "lit pan" not in text  # there is none


def test_a_message_says_the_setting_that_a_full_tank_calls_for() -> None:
    call = replace(_many(0), call_m3=500 * GALLON_M3, call_flow_m3_s=2e-5)
    text = message(_made_up((*MESSAGE_DAY, (call,))))
    assert "if sap 90 gal; with 500 gal at once, and set to 0.32 gal/min." in text


def test_a_message_says_what_holds_from_the_hour_that_a_call_comes_before() -> None:
    call = replace(_many(0), own_hour=OwnHour(MESSAGE_S + HOUR_S, 40 * GALLON_M3))
    text = message(_made_up((*MESSAGE_DAY, (call,))))
    assert "if sap 90 gal, from 06:00 40 gal." in text


def test_a_message_says_what_only_a_tank_calls_for_without_an_hour() -> None:
    need = Action("fire at need", MESSAGE_S, Trigger("stock", 80 * GALLON_M3))
    end = Action("let the fire go", MESSAGE_S + 10 * HOUR_S, leave_s=MESSAGE_S + 11 * HOUR_S)
    text = message(_made_up((*MESSAGE_DAY, (need, end))))
    only = "Only if stock 80 gal: light the fire, last wood 15:00, stay till 16:00."
    assert text.startswith(f"Thursday: {only} Never leave")
    text = message(_made_up((*MESSAGE_DAY, (_many(0), need))))
    assert "if sap 90 gal. Only if stock 80 gal: light the fire. Never leave" in text


def test_a_message_says_until_when_to_stay_wherever_it_says_a_fire() -> None:
    fire = Action("light the fire", MESSAGE_S + 6300, Trigger("stock", 80 * GALLON_M3))
    end = Action("let the fire go", MESSAGE_S + 4 * HOUR_S, leave_s=MESSAGE_S + 5 * HOUR_S)
    said = "06:45 light the fire if stock 80 gal, last wood 09:00, stay till 10:00."
    assert said in message(_made_up((*MESSAGE_DAY, (fire, _many(8), end))))
    alone = message(_made_up((*MESSAGE_DAY, (end,))))  # of a fire that yesterday's list has
    assert "09:00 last wood, stay till 10:00." in alone
    crowd = tuple(_many(number) for number in range(7))  # what is left out has the fire whole
    text = message(_made_up((*MESSAGE_DAY, (*crowd, fire, end))))
    assert text.count("light the fire") == text.count("last wood") == text.count("stay till")


@pytest.mark.parametrize("count", [1, 8, 40])
def test_a_message_is_short_and_plain_and_counts_what_it_leaves_out(count: int) -> None:
    text = message(_made_up((*MESSAGE_DAY, tuple(_many(number) for number in range(count)))))
    said = text.count("membrane on")
    assert len(text) <= MOST_LETTERS
    assert text.isascii()
    assert said == count or f"and {count - said} more" in text


def test_a_message_of_a_day_with_nothing_says_so_and_warns_of_no_fire() -> None:
    report = _made_up((*MESSAGE_DAY, ()))
    assert message(report).endswith("nothing to do.")
    burning = replace(report, standing=replace(report.standing, fire_burns=True))
    assert message(burning).endswith("nothing to do. Never leave a lit pan. An estimate: "
                                     "watch the pan.")  # fmt: skip


@pytest.mark.parametrize(
    ("kind", "warns"),
    [("membrane on", False), ("light the fire", True), ("fire at need", True),
     ("keep the fire", True), ("let the fire go now", True)],
)  # fmt: skip
def test_a_message_warns_of_the_pan_where_it_tells_of_a_fire(kind: str, warns: bool) -> None:
    text = message(_made_up((*MESSAGE_DAY, (Action(kind, MESSAGE_S),))))
    assert text.endswith("Never leave a lit pan. An estimate: watch the pan.") == warns


def test_a_message_of_tomorrow_warns_of_the_pan_where_tonight_has_a_fire() -> None:
    end = Action("let the fire go", MESSAGE_S)
    days = (*MESSAGE_DAY, (end,)), ("2026-03-20 04:00", "2026-03-21 04:00", ())
    morning = Morning(MESSAGE_S + 24 * HOUR_S, "before", *[Range(0.0, 0.0, 0.0)] * 5)
    assert "Never leave a lit pan." in message(_made_up(*days, morning=morning))
    assert "Never" not in message(_made_up((*MESSAGE_DAY, ()), days[1], morning=morning))


def test_an_empty_tank_has_no_keeping() -> None:
    now = replace(_made_up(*SPRING).standing, sap_life_used=0.17)
    report = _made_up(*SPRING)

    def said(held_m3: float, used: float) -> str:
        told = replace(now, sap_m3=held_m3, sap_life_used=used)
        return standing_text(PlanWords(replace(report, standing=told)))

    assert "17% of its keeping used" in said(0.1, 0.17)
    assert "past its keeping" in said(0.1, 1.1)
    assert "keeping" not in said(0.0, 0.17) + said(0.001, 1.1)


def test_what_rests_on_learnt_values_is_one_line() -> None:
    first, second = utc_s("2015-03-05T15:00"), utc_s("2014-04-02T15:00")
    learnt = (Learnt("pan", first, 4), Learnt("membrane", first, 4), Learnt("trees", second, 1))
    lines = _lines(_made_up(*SPRING, learnt=learnt))
    said = re.sub(r"\s+", " ", "\n".join(lines))
    assert (
        "learnt pan and membrane as learnt on 5 March (version 4); "
        "trees as learnt on 2 April 2014 (version 1)"
    ) in said
    assert sum(line.startswith("learnt") for line in lines) == 1
    assert "learnt" not in text_of(_made_up(*SPRING))
