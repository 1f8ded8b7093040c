"""Plans if something were otherwise, after something was missed, and for tomorrow."""

from __future__ import annotations

import json
from collections.abc import Iterator
from dataclasses import replace
from pathlib import Path

import numpy as np
import pytest

from command_line import refused, run
from planning_cases import (
    demo_house,
    demo_plant,
    forecast_from,
    gallons,
    local_s,
    quick,
    usual_levels,
)
from sugarwright.cli import plan_what_if_text as what_if_text
from sugarwright.cli.output import as_json
from sugarwright.cli.plan_missed_text import missed_lines
from sugarwright.cli.plan_text import plan_lines
from sugarwright.cli.plan_what_if_text import what_if_lines
from sugarwright.cli.plan_words import Words
from sugarwright.errors import InputError
from sugarwright.logbook.store import open_store
from sugarwright.planning import missed as missed_by
from sugarwright.planning import plan_store
from sugarwright.planning.action import Action, OwnHour, Trigger
from sugarwright.planning.choices import habit_rows
from sugarwright.planning.if_today import Today
from sugarwright.planning.if_words import read_if
from sugarwright.planning.missed import find_in_plans, find_missed, plan_after
from sugarwright.planning.morning import today_by
from sugarwright.planning.plan_store import KeptAction, KeptPlan, keep_plan, plan_in_force
from sugarwright.planning.planned import Planned, without_machine
from sugarwright.planning.report import PlanReport
from sugarwright.planning.suppositions import Grounds
from sugarwright.planning.today import plan_with_grounds
from sugarwright.planning.what_if import WhatIf, what_if
from sugarwright.plant import layout as at
from sugarwright.plant.assemble import assemble
from sugarwright.plant.special_hours import Outage, SpecialHours
from sugarwright.plant.state import Levels
from sugarwright.plant.tank_kernel import Floats
from sugarwright.weather.hours import HourlyWeather

SATURDAY = "2015-03-21 05:10"  # a run; people all day
HOURS = 36
FIRES = ("light the fire", "keep the fire", "light the fire again", "fire at need")


@pytest.fixture(scope="module", autouse=True)
def _small() -> Iterator[None]:
    with pytest.MonkeyPatch.context() as patch:
        quick(patch)
        patch.setattr("sugarwright.planning.search.MOST_PASSES", 0)
        yield


def _grounds(truth: HourlyWeather, now: str = SATURDAY, levels: Levels | None = None) -> Grounds:
    now_s = local_s(now)
    weather = forecast_from(truth, now_s, HOURS)
    return Grounds(demo_plant(), weather, levels or usual_levels(), now_s)


def _what_if(grounds: Grounds, *texts: str) -> WhatIf:
    today = Today(grounds.plant.house, grounds.now_s, grounds.now_s + HOURS * 3600)
    return what_if(grounds, tuple((text, read_if(text, today)) for text in texts), HOURS)


def _of(report: PlanReport, *kinds: str, day: int = 0) -> list[Action]:
    return [action for action in report.days[day].actions if action.kind in kinds]


@pytest.fixture(scope="module")
def saturday(whately_2015: HourlyWeather) -> WhatIf:
    """Return a Saturday as it is, and three times otherwise."""
    return _what_if(
        _grounds(whately_2015), "light 15:30; set-point 20 gal/h", "no fire", "membrane down; "
        "membrane down tomorrow",
    )  # fmt: skip


def test_what_is_forced_stands_in_the_plan(saturday: WhatIf) -> None:
    forced = saturday.ifs[0]
    row = np.array(forced.report.rows)[0]
    assert row[at.FIRE_START] == 15 * 60 + 30
    assert row[at.FIRE_STOP] > row[at.FIRE_START]
    assert row[at.MEMBRANE_FLOW_M3_S] == pytest.approx(20 * 231 * 0.0254**3 / 3600)
    assert forced.less_share <= 1.0


def test_what_is_out_of_order_is_not_used_in_any_weather(saturday: WhatIf) -> None:
    _, no_fire, no_membrane = (each.report for each in saturday.ifs)
    assert no_fire.days[0].fire_s.high == 0.0
    assert not _of(no_fire, *FIRES)
    assert all(day.permeate_m3.high == 0.0 for day in no_membrane.days)
    assert "membrane out of order" in no_membrane.broken
    assert not {"fire alone", "pan short of feed"} & {*no_fire.broken, *no_membrane.broken}


def test_the_difference_is_that_of_the_two_plans(saturday: WhatIf) -> None:
    for each in saturday.ifs:
        difference = each.report.plan.money.net - saturday.today.plan.money.net
        assert each.difference_money == pytest.approx(difference)
        assert each.standard_error_money >= 0.0


def test_nothing_otherwise_is_no_difference(whately_2015: HourlyWeather) -> None:
    found = _what_if(_grounds(whately_2015), "sap 212 gal")  # as it is read already
    unchanged, today = found.ifs[0].unchanged, found.today.plan
    assert unchanged.money.net == pytest.approx(today.money.net)
    assert unchanged.syrup_m3 == pytest.approx(today.syrup_m3)
    assert found.ifs[0].difference_money >= -2.0  # what a known plan may cost against a new one


def test_a_comparison_says_what_was_read_and_fits_the_page(saturday: WhatIf) -> None:
    lines = list(what_if_lines(saturday))
    assert max(map(len, lines)) <= 80
    text = " ".join(" ".join(lines).split())
    assert "the fire lit on Saturday at 15:30; the membrane set to 0.33 gal/min" in text
    assert "no fire Saturday 05:10 to 24:00" in text
    assert "! the membrane cannot be used in these hours" in text
    for name in ("as it is", "if 3", "syrup", "at the fire", "worth", "difference"):
        assert name in text
    document = json.loads(as_json(saturday))
    assert [each["text"] for each in document["ifs"]][1] == "no fire"


@pytest.mark.parametrize(
    ("kind", "cell"),
    [("light the fire", "06:30, if fed"), ("wash the membrane", "06:30, if due"),
     ("dump what has spoiled", "06:30")],
)  # fmt: skip
def test_a_cell_says_what_is_unsure_of_an_action(saturday: WhatIf, kind: str, cell: str) -> None:
    action = Action(kind, local_s("2015-03-21 06:30"), Trigger("sap", 0.2))
    assert what_if_text._clock(Words(saturday.today), action) == cell


def test_a_fire_forced_while_nobody_is_there_is_said_to_be_in_vain(
    whately_2015: HourlyWeather,
) -> None:
    found = _what_if(_grounds(whately_2015, "2015-03-16 05:10"), "light 12:00; away")
    assert not found.ifs[0].report.days[0].fire_s.high
    assert 'There is no "light the fire" then: nobody is there' in " ".join(
        " ".join(what_if_lines(found)).split()
    )


def test_why_a_forced_hour_is_not_kept_is_said_where_it_is_known(saturday: WhatIf) -> None:
    """Somebody who was fetching sap, or washed the membrane, was said not to be there."""
    at_s = local_s("2015-03-21 12:30")

    def why(what: str, *actions: Action) -> str:
        report = replace(saturday.today, days=(replace(saturday.today.days[0], actions=actions),))
        return what_if_text._why_not_yet(report, at_s, what)

    trips = Action("gather sap", at_s - 1800, expected_s=at_s - 1800, until_s=at_s + 1800)
    wash = Action("wash the membrane", at_s - 900, expected_s=at_s - 900)
    other = "nobody is there, or a tank is under its gauge"
    assert why("light", trips) == "whoever is there is fetching sap"
    assert why("light", replace(trips, until_s=at_s)) == other
    assert why("membrane on", wash) == "it is being washed"
    assert why("light", wash) == other
    assert why("membrane on", replace(wash, expected_s=at_s - 3 * 3600)) == other


# --- missed --------------------------------------------------------------------------------------


@pytest.fixture(scope="module")
def kept(tmp_path_factory: pytest.TempPathFactory, whately_2015: HourlyWeather) -> KeptPlan:
    """Return a plan that lights at nine on a Saturday, as it is kept."""
    grounds = _grounds(whately_2015)
    row = habit_rows(grounds.plant, 1)[0].copy()
    row[at.FIRE_START], row[at.FIRE_STOCK_M3] = 9 * 60, 0.0
    report, planned = plan_with_grounds(
        grounds.plant, grounds.weather, grounds.levels, grounds.now_s, HOURS,
        settled=today_by(row), brief=True,
    )  # fmt: skip
    with open_store(tmp_path_factory.mktemp("kept")) as book:
        keep_plan(book.plans, grounds.plant.house, report, planned.state)
        found = plan_in_force(book.plans, grounds.plant.house, grounds.now_s)
    assert found is not None
    assert [each.number for each in found.actions] == list(range(1, len(found.actions) + 1))
    return found


def test_a_missed_action_is_found_by_number_and_words(kept: KeptPlan) -> None:
    zone, noon_s = "America/New_York", local_s("2015-03-21 12:00")
    (light,) = [each for each in kept.actions if each.kind == "light the fire"]
    for text in ("light 09:00", "light the fire", "fire at 9 am", str(light.number)):
        assert find_missed(kept, text, noon_s, zone) == light
    for text, because in (
        ("banana", "is no action of the plan kept"),
        ("light 10:00", "is no action of the plan kept"),
        ("99", "is no action of the plan kept"),
    ):
        with pytest.raises(InputError, match=because):
            find_missed(kept, text, noon_s + 12 * 3600, zone)
    (go,) = [each for each in kept.actions if each.kind == "let the fire go"]
    for text in ("let the fire go", "last wood", str(go.number)):
        assert find_missed(kept, text, noon_s + 12 * 3600, zone) == go
    with pytest.raises(InputError, match="nothing is missed yet"):
        find_missed(kept, "light", local_s("2015-03-21 06:00"), zone)


def test_a_missed_fire_costs_something_and_the_plan_goes_on_from_now(
    kept: KeptPlan, whately_2015: HourlyWeather
) -> None:
    now = "2015-03-21 17:00"  # at three a plan made anew gets it all back
    grounds = _grounds(whately_2015, now, usual_levels(stock=gallons(120, 6.0)))
    action = find_missed(kept, "light", grounds.now_s, "America/New_York")
    missed, _ = plan_after(grounds, kept, action, HOURS)
    assert missed.plan.begin_s == local_s(now)
    assert all(a.time_s >= missed.plan.begin_s for day in missed.plan.days for a in day.actions)
    assert np.isfinite(missed.cost_money)
    text = " ".join(" ".join(missed_lines(missed)).split())
    assert text.startswith("missed 09:00 light the fire, in the plan of 05:10: not done")
    assert " to Sunday, counting what can still be got back now " in text
    assert max(len(line) for line in missed_lines(missed)) <= 80
    assert json.loads(as_json(missed))["plan"]["rows"]


@pytest.mark.parametrize(("behind", "is_anew"), [(18.0, True), (1.0, False)])
def test_what_is_left_of_the_plan_stays_only_where_it_is_not_far_behind(
    kept: KeptPlan,
    whately_2015: HourlyWeather,
    monkeypatch: pytest.MonkeyPatch,
    behind: float,
    is_anew: bool,
) -> None:
    """A plan $18 behind one made as if there were none was told as "what to do now"."""
    grounds = _grounds(whately_2015, "2015-03-21 15:00")
    action = find_missed(kept, "light", grounds.now_s, "America/New_York")
    made, planned = plan_with_grounds(
        grounds.plant, grounds.weather, grounds.levels, grounds.now_s, HOURS
    )

    def plan(*arguments: object, **_: object) -> tuple[PlanReport, Planned]:
        before = arguments[7]
        money = replace(made.plan.money, net=made.plan.money.net - behind * (before is not None))
        whose = "search" if before is None else "before"
        return replace(made, plan=replace(made.plan, money=money), whose=whose), planned

    monkeypatch.setattr(missed_by, "plan_with_grounds", plan)
    missed, _ = plan_after(grounds, kept, action, HOURS)
    assert missed.plan.whose == ("search" if is_anew else "before")


def test_a_missed_action_costs_no_more_than_going_on_without_it(
    kept: KeptPlan, whately_2015: HourlyWeather
) -> None:
    """A new plan that is worse over the old one's hours is no cost of what was missed."""
    grounds = _grounds(whately_2015, "2015-03-21 15:00")
    action = find_missed(kept, "light", grounds.now_s, "America/New_York")
    _, planned = plan_after(grounds, kept, action, HOURS)
    left = without_machine(kept.rows, (0, at.FIRE_START))
    nothing = planned.plan.copy()
    nothing[:, [at.FIRE_START, at.MEMBRANE_START, at.WASH_AT]] = -1.0
    nothing[:, [at.FIRE_CALL_M3, at.MEMBRANE_CALL_M3]] = 0.0

    def cost(plan: Floats) -> float:
        found = replace(planned, plan=plan)
        return float(missed_by._costs(grounds, kept, left, found, 0, 7).mean())

    assert cost(nothing) == pytest.approx(cost(left))
    assert cost(nothing) >= cost(planned.plan)


def test_words_mean_what_was_due_before_a_newer_plan_and_a_number_is_of_the_newest(
    kept: KeptPlan,
) -> None:
    zone, noon_s = "America/New_York", local_s("2015-03-21 12:00")
    (light,) = [each for each in kept.actions if each.kind == "light the fire"]
    later = KeptAction(1, "light the fire", local_s("2015-03-22 17:00"))
    newer = replace(kept, begin_s=noon_s - 3600, actions=(later,))
    assert find_in_plans([newer, kept], "light", noon_s, zone) == (kept, light)
    told = "is not due before Sunday 17:00 in the plan of 11:00: nothing is missed yet"
    with pytest.raises(InputError, match=told):
        find_in_plans([newer, kept], "1", noon_s, zone)
    before = replace(newer, begin_s=light.time_s - 60)  # it took the older one's place in time
    with pytest.raises(InputError, match="nothing is missed yet"):
        find_in_plans([before, kept], "light", noon_s, zone)


def test_a_plan_made_again_after_another_is_the_newest_once_more(tmp_path: Path) -> None:
    with open_store(tmp_path) as book:
        for rows in (1, 2, 1, 1):
            book.plans.keep(100, {"begin_s": 100, "rows": rows})
        found = [each["rows"] for each in book.plans.newest_first(0, 200)]
    assert found == [1, 2, 1]


@pytest.mark.parametrize(
    ("kind", "told"),
    [
        ("let the fire go", "look at the pan at once. Keep it fed"),
        ("drain before the frost", "Never thaw with a flame"),
        ("light the fire again", "it waited for its tank"),
        ("membrane on again", "a later run of a day costs is not reckoned by itself"),
    ],
)
def test_what_follows_from_a_choice_and_was_missed_has_an_answer_and_a_plan(
    kind: str, told: str, kept: KeptPlan, whately_2015: HourlyWeather
) -> None:
    now = "2015-03-21 15:00"
    grounds = _grounds(whately_2015, now, usual_levels(stock=gallons(120, 6.0)))
    action = KeptAction(9, kind, local_s("2015-03-21 14:00"))
    missed, _ = plan_after(grounds, kept, action, HOURS)
    assert missed.cost_money is None
    assert missed.plan.begin_s == local_s(now)
    lines = list(missed_lines(missed))
    assert max(map(len, lines)) <= 80
    text = " ".join(" ".join(lines).split())
    assert text.startswith(f"missed 14:00 {kind}, in the plan of 05:10: ")
    assert told in text
    assert ("now that first; then " in text) == (kind != "light the fire again")


def test_a_fire_is_named_by_the_hour_at_which_it_was_expected(kept: KeptPlan) -> None:
    five_s, zone = local_s("2015-03-21 17:00"), "America/New_York"
    waits = KeptAction(2, "light the fire", local_s("2015-03-21 14:00"), (five_s,))
    needed = replace(waits, number=3, kind="fire at need")
    for each in (waits, needed):
        plan = replace(kept, actions=(each,))
        for text in ("light 5pm", "light 17:00", "fire 14:00"):
            assert find_missed(plan, text, five_s + 3600, zone) == each


def test_the_hours_of_an_action_are_kept_and_an_older_plan_without_them_is_read(
    kept: KeptPlan,
) -> None:
    document = {"number": 1, "kind": "light the fire", "time_s": 7}
    assert plan_store._kept_action(document) == KeptAction(1, "light the fire", 7)
    called = Action("light the fire", 7, expected_s=9, own_hour=OwnHour(11, 0.3))
    also_s = plan_store._other_hours(called)
    assert plan_store._kept_action({**document, "also_s": also_s}).also_s == (9, 11)


# --- tomorrow ------------------------------------------------------------------------------------


def test_tomorrow_s_plan_lets_today_go_by_what_is_settled(whately_2015: HourlyWeather) -> None:
    grounds = _grounds(whately_2015, "2015-03-20 20:30", usual_levels(pan_brix=20.0))
    row = habit_rows(grounds.plant, 1)[0]
    report, _ = plan_with_grounds(
        grounds.plant, grounds.weather, grounds.levels, grounds.now_s, HOURS,
        settled=today_by(row), carried_out="habit",
    )  # fmt: skip
    np.testing.assert_array_equal(report.rows[0], row)
    assert report.morning is not None
    assert report.morning.time_s == local_s("2015-03-21 06:30")  # when somebody is first there
    assert report.morning.sap_m3.low <= report.morning.sap_m3.middle <= report.morning.sap_m3.high
    assert report.main_day == 1
    lines = list(plan_lines(report))
    assert max(map(len, lines)) <= 80
    text = " ".join(" ".join(lines).split())
    assert "until midnight today goes on as you usually work" in text
    assert "morning taken to be at Saturday 06:30: sap" in text
    for change in report.changes:
        assert change.time_s == report.morning.time_s


def test_tomorrow_s_plan_of_the_same_minute_goes_on_by_today_s(folder: Path) -> None:
    """Whoever plans today and then tomorrow at once has a plan kept; asked again it is the same."""
    asked = ("plan", folder, *LEVELS, "--weather", "none", "--now", "2026-03-12 20:00", "--json")
    today = run(*asked).document
    for _ in range(2):
        tomorrow = run(*asked, "--for", "tomorrow").document
        assert tomorrow["morning"]["carried_out"] == "before"
        assert tomorrow["rows"][0] == today["rows"][0]


# --- wishes that cannot all be met ---------------------------------------------------------------


def _plan(truth: HourlyWeather, levels: Levels, **special: object) -> PlanReport:
    grounds = _grounds(truth, levels=levels)
    plant = replace(grounds.plant, **special)  # type: ignore[arg-type]
    return plan_with_grounds(plant, grounds.weather, levels, grounds.now_s, HOURS, brief=True)[0]


def _first(report: PlanReport) -> str:
    """What stands before all else but the title, as one line."""
    text = " ".join(" ".join(plan_lines(report)).split())
    return text.partition(report.house)[2].partition(" weather ")[0].strip()


def test_a_full_tank_of_spoiled_sap_is_dumped_before_anything_starts_on_it(
    whately_2015: HourlyWeather,
) -> None:
    report = _plan(whately_2015, usual_levels(sap=gallons(420, 2.0, 200)))
    assert "sap spoiled" in report.broken
    assert _first(report).startswith("! the sap in the tank has turned")
    first = report.days[0].actions[0]
    assert first.kind == "dump what has spoiled"


def test_a_membrane_frozen_out_leaves_the_stock_that_is_there(whately_2015: HourlyWeather) -> None:
    house = demo_house()
    assert house.membrane is not None
    outdoors = replace(house, membrane=replace(house.membrane, place="outdoors"))
    grounds = _grounds(whately_2015)
    cold = replace(
        grounds.weather,
        temperature_c=np.where(
            grounds.weather.time_s >= grounds.now_s - 3600, -15.0, grounds.weather.temperature_c
        ),
    )
    report, _ = plan_with_grounds(
        assemble(outdoors), cold, usual_levels(stock=gallons(130, 8.0)), grounds.now_s, HOURS,
        brief=True,
    )  # fmt: skip
    assert "membrane frozen out" in report.broken
    assert _first(report).startswith("! the membrane stands outdoors")
    assert all(day.permeate_m3.middle == 0.0 for day in report.days)
    assert report.plan.syrup_m3 > 0.0  # of what waits in stock


def test_without_wood_it_says_how_much_a_boil_takes(whately_2015: HourlyWeather) -> None:
    report = _plan(whately_2015, usual_levels(wood_m3=0.05))
    assert report.broken == ("no wood for a boil",)
    assert report.plan.fire_s == 0.0
    assert "of wood on hand, and the shortest boil takes" in _first(report)


def test_with_nobody_there_it_says_what_is_lost(whately_2015: HourlyWeather) -> None:
    nobody = tuple(replace(person, weekdays=(), weekends=()) for person in demo_house().people)
    plant = assemble(replace(demo_house(), people=nobody))
    grounds = _grounds(whately_2015, levels=usual_levels(sap=gallons(420)))
    report, _ = plan_with_grounds(
        plant, grounds.weather, grounds.levels, grounds.now_s, HOURS, brief=True
    )
    assert report.broken == ("nobody there",)
    assert "run over or spoil" in _first(report)


def test_a_pan_out_of_order_is_the_first_thing_told(whately_2015: HourlyWeather) -> None:
    begin_s = local_s(SATURDAY) - 3600
    special = SpecialHours(outages=(Outage("pan", begin_s, begin_s + 5 * 86400),))
    report = _plan(whately_2015, usual_levels(), special=special)
    assert report.broken == ("pan out of order",)
    assert report.plan.fire_s == 0.0
    assert _first(report).startswith("! no fire in these hours")


# --- on the command line -------------------------------------------------------------------------

LEVELS = ("--sap", "212 gal", "--stock", "31 gal", "--stock-brix", "5.8", "--pan-brix", "13")


@pytest.fixture(scope="module")
def folder(tmp_path_factory: pytest.TempPathFactory) -> Path:
    """Return a folder with the demo's files, and nothing kept."""
    source = Path(__file__).resolve().parents[2] / "src" / "sugarwright" / "demo"
    made = tmp_path_factory.mktemp("asked")
    for name in ("sugarhouse.toml", "weather.csv"):
        (made / name).write_bytes((source / name).read_bytes())
    return made


def test_without_a_forecast_there_is_a_plan_for_what_is_in_the_tanks(folder: Path) -> None:
    words = ("--weather", "none", "--now", "2026-03-19 05:10", "--hours", "12", "--no-keep")
    ran = run("plan", folder, *LEVELS, *words)
    assert ran.code == 0
    assert ran.out.splitlines()[1].startswith("!        no weather is known")


def test_a_short_forecast_is_planned_as_far_as_it_goes(folder: Path) -> None:
    """The demo's last hour begins on 27 March at 03:00Z, and ends at midnight there."""
    ran = run("plan", folder, *LEVELS, "--now", "2026-03-26 06:10", "--json", "--no-keep")
    assert ran.code == 0
    assert ran.document["end_s"] == local_s("2026-03-27 00:00")
    assert "so does this plan" in ran.document["forecast_cautions"][-1]


@pytest.mark.parametrize(
    ("now", "left", "begins"),
    [
        ("2026-03-26 20:00", "4 h after", "Thursday 26 March 2026 20:00"),
        ("2026-03-28 20:00", "before", "Saturday 28 March 2026 20:00"),
        ("2027-03-26 05:10", "before", "Friday 26 March 2027 05:10"),
    ],
)
def test_weather_that_ends_too_soon_asks_for_newer(
    folder: Path, now: str, left: str, begins: str
) -> None:
    told = refused("plan", folder, *LEVELS, "--now", now)
    ends = "ends on Friday 27 March 2026 00:00"
    assert f"{ends}, {left} the plan begins, on {begins} (--now); allowed: 12 h" in told
    assert "Fetch or give newer weather" in told
    assert "fewer hours" not in told


def test_a_document_and_a_message_are_not_asked_for_at_once(folder: Path) -> None:
    ran = run("plan", folder, *LEVELS, "--now", "2026-03-19 05:10", "--json", "--text")
    assert ran.code == 2
    assert ran.document["error"]["field"] == "--text"
    assert ran.document["error"]["problem"] == "does not go with --json"


def test_doubts_about_a_weather_file_are_cautions_of_its_plan(folder: Path, tmp_path: Path) -> None:
    """Fahrenheit under a title of Celsius, and too few days for the trees to be known."""
    rows = (folder / "weather.csv").read_text().splitlines()
    title = rows.index("time_utc,temperature_c")
    wrong = [f"{time},{float(c) * 1.8 + 32:.1f}" for time, c in
             (each.split(",") for each in rows[title + 1 :]) if time >= "2026-03-14"]  # fmt: skip
    file = tmp_path / "logger.csv"
    file.write_text("\n".join([*rows[: title + 1], *wrong]))
    words = ("--weather", file, "--now", "2026-03-19 05:10", "--hours", "12", "--no-keep")
    ran = run("plan", folder, *LEVELS, *words, "--json")
    assert ran.code == 0
    unit, trees = ran.document["forecast_cautions"]
    assert "is the column Fahrenheit?" in unit
    assert "only 5 days before this plan" in trees
    told = run("simulate", folder, "--weather", file, "--from", "2026-03-16", "--json")
    assert "is the column Fahrenheit?" in " ".join(told.err.split())


@pytest.mark.parametrize(
    ("words", "because"),
    [
        (("--if", "banana"), "is not understood"),
        (("--if", "hoem 18:00"), 'Did you mean "home 18:00"?'),
        (("--if", "home 18:00", "--missed", "3"), "does not go with"),
        (("--if", "home 18:00", "--text"), "does not go with"),
        (("--if", "light 17:00; no fire today"), "contradict each other"),
        (("--missed", "light 17:00"), "no plan of the last two days is kept"),
        (("--for", "yesterday"), "today or tomorrow"),
        (("--explain", "banana"), "is no number of a plan"),
        (("--explain", "sirup"), 'Did you mean "syrup"?'),
        (("--if", "a", "--if", "b", "--if", "c", "--if", "d"), "is not understood"),
    ],
)
def test_what_cannot_be_asked_is_refused_before_any_search(
    folder: Path, words: tuple[str, ...], because: str, monkeypatch: pytest.MonkeyPatch
) -> None:
    def searched(*_: object, **__: object) -> None:
        raise AssertionError("a search was begun")

    monkeypatch.setattr("sugarwright.planning.today.choose", searched)
    assert because in refused("plan", folder, *LEVELS, "--now", "2026-03-19 05:10", *words)
