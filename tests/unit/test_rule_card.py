"""The rule card: what it may say, how it is tuned and judged, and what is kept of it."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import replace
from datetime import date, timedelta
from importlib.resources import files
from pathlib import Path

import numpy as np
import pytest
from scipy import stats

from planning_cases import demo_house, demo_plant, without_membrane
from sugarwright.cli.card_text import card_lines, habit_lines
from sugarwright.errors import InputError
from sugarwright.planning import choices as of
from sugarwright.planning.card_file import CARD_FILE, read_card, write_card
from sugarwright.planning.card_menu import (
    TIED,
    WEEKDAYS,
    WEEKEND,
    card_menu,
    kinds_of_days,
    rows_by_kind,
    week_parts,
)
from sugarwright.planning.card_report import RuleCard
from sugarwright.planning.card_springs import CardSprings, make_springs
from sugarwright.planning.card_today import Amount, make_card, mean_interval, most_reserve_m3
from sugarwright.planning.choices import habit_rows
from sugarwright.planning.judging import judge_plans
from sugarwright.planning.rule_card import Card, card_rows, habit_card, tune_card
from sugarwright.planning.search import Budget
from sugarwright.plant import layout as at
from sugarwright.plant.assemble import assemble
from sugarwright.plant.house import House
from sugarwright.plant.read_house import parse_house
from sugarwright.plant.simulate import run_many, simulate
from sugarwright.plant.state import Levels, start_state
from sugarwright.plant.worth import broken_s

SMALL = Amount(tuned=2, checked=4, budget=Budget(population=24, rounds=2))
MADE = date(2026, 11, 25)


@pytest.fixture(scope="module", autouse=True)
def small_search() -> Iterator[None]:
    """Make searches small: what must hold of a card must hold of a poor one too."""
    with pytest.MonkeyPatch.context() as patch:
        patch.setattr("sugarwright.planning.search.MOST_PASSES", 0)
        yield


@pytest.fixture(scope="module")
def springs() -> CardSprings:
    """Return a few springs of the demo's house."""
    return make_springs(demo_plant(), SMALL.tuned, SMALL.checked, 1)


@pytest.fixture(scope="module")
def card() -> RuleCard:
    """Return a card of the demo's house."""
    return make_card(demo_plant(), 1, MADE, SMALL)


@pytest.fixture(scope="module")
def plain_card() -> RuleCard:
    """Return a metric card of the house without its membrane."""
    house = without_membrane(demo_house())
    house = replace(house, site=replace(house.site, units="metric"))
    return make_card(assemble(house), 1, MADE, SMALL)


def with_hours(house: House, weekdays: str, weekends: str) -> House:
    """Return the house with one person who gives other hours ("" for none)."""
    spans = {
        key: tuple((int(a) * 60, int(b) * 60) for a, b in [text.split("-")] if text) if text else ()
        for key, text in (("weekdays", weekdays), ("weekends", weekends))
    }
    return replace(house, people=(replace(house.people[0], **spans),))


def test_weekends_are_those_of_the_calendar() -> None:
    days = [date(2026, 2, 25) + timedelta(days=n) for n in range(15)]
    kinds = kinds_of_days(np.array([float(day.toordinal()) for day in days]))
    assert [kind == WEEKEND for kind in kinds] == [day.isoweekday() in (6, 7) for day in days]


@pytest.mark.parametrize(
    ("weekdays", "weekends", "parts"),
    [
        ("6-20", "6-20", ((WEEKDAYS, WEEKEND),)),
        ("", "6-20", ((WEEKDAYS, WEEKEND),)),
        ("17-21", "", ((WEEKDAYS, WEEKEND),)),
        ("17-21", "6-20", ((WEEKEND,), (WEEKDAYS,))),
        ("6-20", "17-21", ((WEEKDAYS,), (WEEKEND,))),
    ],
)
def test_a_part_of_the_week_has_times_of_its_own_where_its_hours_differ(
    weekdays: str, weekends: str, parts: tuple[tuple[int, ...], ...]
) -> None:
    assert week_parts(with_hours(demo_house(), weekdays, weekends)) == parts


def test_only_clock_times_differ_within_a_week(springs: CardSprings) -> None:
    plant = demo_plant()
    menu = card_menu(plant, springs.tuned, start_state(plant, Levels()))
    draws = np.random.default_rng(3)
    by_kind = rows_by_kind(menu, draws.integers(0, menu.sizes(), size=(50, *menu.sizes().shape)))
    clocks = [at.MEMBRANE_START, at.WASH_AT, at.FIRE_START, at.FIRE_STOP]  # the last: start + burn
    same = np.delete(by_kind, clocks, axis=2)
    assert np.array_equal(same[:, 0], same[:, 1])
    assert (by_kind[:, 0, clocks] != by_kind[:, 1, clocks]).any(axis=0).all()
    assert (menu.sizes()[1:, TIED] == 1).all()


def test_times_are_offered_only_while_somebody_is_there(springs: CardSprings) -> None:
    plant = demo_plant()  # Ines: 05:30-07:30 and 17:00-22:00, from 06:30 at weekends
    menu = card_menu(plant, springs.tuned, start_state(plant, Levels()))
    times = dict(zip([part[0] for part in menu.parts], menu.lights, strict=True))
    assert min(times[WEEKDAYS][1:]) == 17 * 60  # two hours are too short for a fire
    assert min(times[WEEKEND][1:]) == 6.5 * 60
    assert all(17 * 60 <= minute < 22 * 60 for minute in times[WEEKDAYS][1:])


def test_scatter_moves_brix_and_leaves_the_mass(springs: CardSprings) -> None:
    many = make_springs(demo_plant(), 40, 1, 1).tuned
    sap = many.sap_kg_s[:, :, 0, :]
    assert (sap >= 0.0).all()
    runs = sap.sum(axis=2) > 1e-6
    brix = 100.0 * sap[runs][:, 1] / sap[runs].sum(axis=1)
    assert brix.min() >= 0.5 - 1e-9
    assert 0.1 < brix.std() < 1.0
    assert not np.array_equal(springs.tuned.air_c[0], springs.checked.air_c[0])


def test_a_card_is_no_worse_than_the_habit_where_it_was_tuned(springs: CardSprings) -> None:
    plant = demo_plant()
    state = start_state(plant, Levels())
    tuned, again = (tune_card(plant, springs.tuned, state, 1, SMALL.budget) for _ in range(2))
    assert tuned == again
    plans = np.stack([card_rows(each, springs.tuned) for each in (tuned.card, habit_card(plant))])
    own, habit = judge_plans(plant, springs.tuned, plans, state)
    assert own == pytest.approx(tuned.value_money)
    assert own >= habit
    worst = Budget(population=1, rounds=0)
    poor = tune_card(plant, springs.tuned, state, 1, worst)
    assert poor.value_money >= habit


def test_rows_lie_on_their_days(springs: CardSprings) -> None:
    drive = springs.tuned
    marked = Card(tuple(tuple([value] * at.PLAN_WIDTH) for value in (1.0, 2.0)))
    laid = card_rows(marked, drive)
    tapped = demo_house().trees.tapped
    assert len(laid) == 70
    for n, row in enumerate(laid):
        assert row[0] == (2.0 if (tapped + timedelta(days=n)).isoweekday() > 5 else 1.0)


def test_a_card_is_judged_in_other_springs(card: RuleCard, springs: CardSprings) -> None:
    worth, plant = card.worth, demo_plant()
    assert worth.springs == SMALL.checked
    assert worth.gain_money == pytest.approx(worth.card.money.net - worth.habit.money.net)
    assert worth.gain_low_money <= worth.gain_money <= worth.gain_high_money
    plans = card_rows(Card(card.rows), springs.checked)[np.newaxis]
    results = run_many(plant, springs.checked, plans, start_state(plant, Levels()))
    assert worth.broken_springs == (broken_s(results.totals) > 0.0).sum()
    assert worth.card.light_ups == pytest.approx(results.totals[0, :, at.LIGHT_UPS].mean())


def test_the_interval_is_that_of_another_bootstrap() -> None:
    # scipy.stats.bootstrap, method "percentile". Both draw some thousand samples, so that an end
    # at the 5 % point is unsure by about 2 % of the standard error times 2: a twentieth is ample.
    values = np.random.default_rng(8).gamma(2.0, 100.0, size=60)
    low, high = mean_interval(values, 1)
    other = stats.bootstrap(
        (values,), np.mean, confidence_level=0.9, method="percentile", n_resamples=9999,
        random_state=np.random.default_rng(4),
    )  # fmt: skip
    within = 0.1 * other.standard_error
    assert low == pytest.approx(other.confidence_interval.low, abs=within)
    assert high == pytest.approx(other.confidence_interval.high, abs=within)


def test_a_card_asks_nothing_that_the_house_forbids(springs: CardSprings) -> None:
    house = demo_house()
    assert house.membrane is not None
    plant = assemble(replace(house, membrane=replace(house.membrane, unattended=False)))
    made = make_card(plant, 2, MADE, SMALL)
    assert made.membrane is not None
    assert made.membrane.night_flow_m3_s is None
    plan = card_rows(Card(made.rows), springs.checked)
    trace = simulate(plant, springs.checked, plan, start_state(plant, Levels()))
    alone = springs.checked.calendar[:, at.PEOPLE] <= 0.0
    assert trace.column(at.T_MEMBRANE_ON).any()
    assert not trace.column(at.T_MEMBRANE_ON)[alone].any()
    assert not trace.column(at.T_FIRE_ON)[alone].any()


def test_nobody_there_is_said() -> None:
    plant = assemble(with_hours(demo_house(), "", ""))
    with pytest.raises(InputError, match="give no hours"):
        make_card(plant, 1, MADE, SMALL)


def test_taps_set_in_autumn_are_told_of() -> None:
    house = demo_house()
    late = replace(house, trees=replace(house.trees, tapped=date(2015, 10, 3)))
    with pytest.raises(InputError, match="January to May"):
        make_card(assemble(late), 1, MADE, SMALL)


def page_of(card: RuleCard) -> list[str]:
    """Return the lines of a card's page."""
    return [line for text in card_lines(card) for line in text.splitlines()]


def test_a_card_is_one_page(card: RuleCard, plain_card: RuleCard) -> None:
    for each in (card, plain_card):
        page = page_of(each)
        assert len(page) <= 48
        assert all(len(line) <= 80 for line in page)
        assert "Never leave a lit pan" in "\n".join(page)
    assert "L" in "\n".join(page_of(plain_card))
    assert "gal" not in "\n".join(page_of(plain_card))
    assert "embrane" not in "\n".join(page_of(plain_card))


def test_the_page_says_what_the_rows_do(card: RuleCard) -> None:
    assert card.membrane is not None
    page = "\n".join(page_of(card))
    for row in card.rows:
        for place in (at.MEMBRANE_START, at.FIRE_START):
            if row[place] >= 0.0:
                assert f"{int(row[place]) // 60:02d}:{int(row[place]) % 60:02d}" in page
    gallons = card.fire.light.volume_m3 / (231 * 0.0254**3)  # NIST Handbook 44: 231 cubic inches
    assert f"{gallons:.0f} gal" in page


def text_of(card: RuleCard) -> str:
    """Return a card's page as one line, wherever it is folded."""
    return " ".join(" ".join(page_of(card)).split())


def test_the_last_wood_is_at_the_most_that_a_rich_pan_needs(springs: CardSprings) -> None:
    plant, state = demo_plant(), start_state(demo_plant(), Levels())
    card = habit_card(plant)
    needed_m3 = 0.0
    for w in range(springs.tuned.scenarios):
        trace = simulate(plant, springs.tuned, card_rows(card, springs.tuned), state, scenario=w)
        lit = trace.column(at.T_FIRE_ON) > 0.0
        needed_m3 = max(needed_m3, float(trace.column(at.T_RESERVE_M3)[lit].max()))
    gallon_m3 = 231 * 0.0254**3  # NIST Handbook 44: 231 cubic inches
    most_m3 = most_reserve_m3(plant, springs.tuned, card, state)
    assert (
        needed_m3 > plant.p[at.RESERVE_M3] + gallon_m3
    )  # the pan grows rich, or this says nothing
    assert needed_m3 <= most_m3 < needed_m3 + gallon_m3
    assert most_m3 / gallon_m3 == pytest.approx(round(most_m3 / gallon_m3))


def test_the_card_has_that_for_its_last_wood(card: RuleCard) -> None:
    assert card.fire.reserve.volume_m3 > demo_plant().p[at.RESERVE_M3]
    gallons = round(card.fire.reserve.volume_m3 / (231 * 0.0254**3))
    assert f"last wood when {gallons} gal" in text_of(card)


def test_frost_goes_before_a_run_overnight(card: RuleCard) -> None:
    assert card.membrane is not None
    alone = replace(card, membrane=replace(card.membrane, night_flow_m3_s=1e-5))
    text = text_of(alone)
    assert "overnight, set to 0.16 gal/min, frost seen to first" in text
    assert "frost goes first: drain pump and line before you leave. In doubt" in text
    assert "where it stopped by itself, first thing at the next visit" in text
    assert alone.membrane is not None
    outdoors = replace(
        alone,
        membrane=replace(alone.membrane, outdoors=True),
        drains=("pump", "line", "membrane"),
    )
    text = text_of(outdoors)
    assert "overnight, set to 0.16 gal/min, not in frost" in text
    assert (
        "goes first: stop the membrane, rinse it, drain pump, line and membrane before you" in text
    )
    never = replace(card, membrane=replace(card.membrane, night_flow_m3_s=None))
    assert "frost drain pump and line before you leave CAUTION" in text_of(never)
    assert "stopped by itself" not in text_of(never)
    for each in (alone, outdoors, never):
        assert len(page_of(each)) <= 48


def test_a_habit_is_shown_as_a_card(card: RuleCard) -> None:
    # The worst that a search can bring is the house's own way, and then the page says so.
    page = "\n".join(page_of(replace(card, whose="habit")))
    assert "this card is your way" in page


def pasted(text: str, lines: list[str]) -> House:
    """Return a house whose [habit] is replaced by lines."""
    return parse_house(text.partition("[habit]")[0] + "\n".join(lines) + "\n")


def test_a_pasted_habit_is_the_card(card: RuleCard) -> None:
    told = card.as_habit
    assert told is not None
    text = (files("sugarwright") / "demo" / "sugarhouse.toml").read_text(encoding="utf-8")
    row = habit_rows(assemble(pasted(text, list(habit_lines(card)))), 1)[0]
    assert row[at.MEMBRANE_START] == told.membrane_start_min
    assert row[at.FIRE_START] == told.fire_start_min
    assert row[at.WASH_AT] == told.wash_min
    assert row[at.MEMBRANE_SAP_M3] == pytest.approx(told.membrane_sap_m3, rel=1e-5)
    assert row[at.MEMBRANE_FLOW_M3_S] == pytest.approx(told.flow_m3_s, rel=1e-5)
    assert row[at.FIRE_STOCK_M3] == pytest.approx(told.fire_stock_m3, rel=1e-5)
    assert row[at.FIRE_STOP] == told.fire_stop_min


def test_without_a_membrane_a_habit_has_none(plain_card: RuleCard) -> None:
    lines = "\n".join(habit_lines(plain_card))
    assert "fire_start" in lines
    assert "membrane" not in lines


def test_what_no_habit_can_say_is_told(card: RuleCard) -> None:
    assert "cannot be a [habit]" in "\n".join(habit_lines(replace(card, as_habit=None)))


def test_a_kept_card_comes_back(tmp_path: Path) -> None:
    card = habit_card(demo_plant())
    assert read_card(tmp_path) is None
    write_card(tmp_path, card)
    assert read_card(tmp_path) == card
    assert [each.name for each in tmp_path.iterdir()] == [CARD_FILE]


@pytest.mark.parametrize(
    "change", [("{", ""), ('"wash_min"', '"wish_min"'), (": ", ": NaN, "), ("-", '"')]
)
def test_a_spoiled_file_is_refused(tmp_path: Path, change: tuple[str, str]) -> None:
    rows = habit_rows(demo_plant(), 2)
    rows[:, at.WASH_AT] = of.NOT
    write_card(tmp_path, Card(tuple(tuple(row) for row in rows.tolist())))
    path = tmp_path / CARD_FILE
    path.write_text(path.read_text(encoding="utf-8").replace(*change), encoding="utf-8")
    with pytest.raises(InputError, match=r"card\.json"):
        read_card(tmp_path)


def test_a_number_that_is_none_is_refused(tmp_path: Path) -> None:
    write_card(tmp_path, habit_card(demo_plant()))
    path = tmp_path / CARD_FILE
    text = path.read_text(encoding="utf-8")
    first = text.split('"membrane_start_min": ')[1].split(",")[0]
    path.write_text(text.replace(f'"membrane_start_min": {first}', '"membrane_start_min": NaN'))
    with pytest.raises(InputError, match="no number"):
        read_card(tmp_path)
