"""The main paths of a day, as somebody walks them: read, plan, wash, boil, correct, away."""

from __future__ import annotations

import shutil
import time
from collections.abc import Callable, Iterator
from pathlib import Path
from typing import Any

import pytest

from sugarwright.answering.ledger import ledger_in
from sugarwright.answering.record import record_of
from sugarwright.logbook.entry import Entry
from sugarwright.web.shed import Shed
from web_folder import NOW_S
from web_serving import PATIENCE_S, serving, standing_known

GALLON_M3 = 3.785411784e-3
PATIENCE_MS = 1000.0 * PATIENCE_S


class Day:
    """A served folder and a page at it."""

    def __init__(self, shed: Shed, page: Any) -> None:
        self.shed, self.page = shed, page

    def last(self, kind: str) -> Entry:
        """Return the newest entry of a kind."""
        with record_of(self.shed.folder) as book:
            return [each for each in book.entries() if each.kind == kind][-1]

    def gets(self, kind: str) -> None:
        """Wait until an entry of a kind has come in."""
        ends_s = time.monotonic() + PATIENCE_S
        while time.monotonic() < ends_s:
            with record_of(self.shed.folder) as book:
                if any(each.kind == kind for each in book.entries()):
                    return
            self.page.wait_for_timeout(50.0)

    def press(self, name: str) -> None:
        """Press a button."""
        self.page.get_by_role("button", name=name, exact=True).click()

    def sees_kept(self, words: str) -> None:
        """Wait until the page says that something was kept."""
        self.page.locator(".kept", has_text=words).wait_for()

    def until(self, is_so: Callable[[], bool], what: str) -> None:
        """Wait for something that the server does beside."""
        end_s = time.monotonic() + PATIENCE_S
        while not is_so():
            assert time.monotonic() < end_s, what
            self.page.wait_for_timeout(100)


@pytest.fixture(params=["phone-light", "desktop-dark"])
def view(request: pytest.FixtureRequest) -> dict[str, Any]:
    phone = request.param == "phone-light"
    width, height = (360, 740) if phone else (1280, 800)
    return {
        "viewport": {"width": width, "height": height},
        "color_scheme": "light" if phone else "dark",
        "has_touch": phone,
    }


def walked(folder: Path, browser: Any, view: dict[str, Any]) -> Iterator[Day]:
    shed = Shed(str(folder), lambda: NOW_S, plans=False)
    with serving(shed) as address:
        context = browser.new_context(base_url=address, **view)
        page = context.new_page()
        page.set_default_timeout(PATIENCE_MS)
        problems: list[str] = []
        page.on("pageerror", lambda error: problems.append(str(error)))
        yield Day(shed, page)
        context.close()
    shed.close()
    assert problems == []


@pytest.fixture
def day(folder: Path, browser: Any, view: dict[str, Any]) -> Iterator[Day]:
    yield from walked(folder, browser, view)


def test_a_level_is_logged_in_three_taps_and_the_plan_changes(day: Day) -> None:
    page = day.page
    standing_known(day.shed)
    page.goto("/log")
    page.locator("summary", has_text="Sap level").click()
    form = page.locator("details[open] form")
    for key in "30":
        form.get_by_role("button", name=key, exact=True).click()
    form.get_by_role("button", name="Keep", exact=True).click()
    day.sees_kept("sap tank: 30 in on the stick")

    before = day.shed.plan().report
    page.goto("/")
    day.press("Plan again")
    day.until(lambda: day.shed.plan().report != before, "no new plan was made")
    report = day.shed.plan().report
    assert report is not None
    read_m3 = next(each for each in day.last("reading").measures if each.quantity == "depth").value
    assert report.standing.sap_m3 == pytest.approx(1.16745 * read_m3, rel=0.05)  # 48 in across
    page.goto("/")
    page.wait_for_selector("fan-chart[data-drawn]")
    held = f"{report.standing.sap_m3 / GALLON_M3:.0f}"
    assert page.get_by_text(f"{held} gal").first.is_visible()


def test_the_membrane_is_washed_step_by_step(day: Day) -> None:
    page = day.page
    page.goto("/membrane")
    steps = page.locator("ol.steps li")
    steps.nth(0).get_by_role("checkbox").check()
    steps.nth(1).get_by_role("checkbox").check()
    timer = page.locator("step-timer").first
    timer.get_by_role("button").click()
    assert ":" in timer.locator(".left").inner_text()
    page.reload()
    assert steps.nth(1).get_by_role("checkbox").is_checked()  # a reload loses nothing
    assert not steps.nth(2).get_by_role("checkbox").is_checked()
    assert ":" in page.locator("step-timer .left").first.inner_text()
    page.get_by_label("Permeate it took").fill("55")
    day.press("Log the wash")
    day.sees_kept("membrane washed: 55 gal")
    assert day.last("wash").value("volume") == pytest.approx(55.0 * GALLON_M3)


def test_a_fire_is_lit_stoked_and_drawn_from(day: Day) -> None:
    page = day.page
    page.goto("/boil")
    day.press("Fire lit")
    day.sees_kept("fire lit")
    page.get_by_role("heading", name="Stoke").wait_for()
    page.locator("summary", has_text="Draw-off").click()
    form = page.locator("details[open] form")
    form.get_by_label("Draw-off").fill("0.4")
    form.get_by_role("button", name="Keep", exact=True).click()
    day.sees_kept("0.4 gal")
    assert "0.4 gal in 1 draw." in page.locator("#boil").inner_text()
    page.locator(".kept").get_by_role("button", name="Undo").click()
    page.locator(".kept", has_text="Taken back").wait_for()
    assert "Nothing drawn yet." in page.locator("#boil").inner_text()


def test_a_press_while_something_else_goes_out_gets_its_own_answer(day: Day) -> None:
    page = day.page
    page.goto("/boil")
    day.press("Fire lit")
    day.sees_kept("fire lit")
    page.evaluate(
        """async () => {
          const real = fetch;
          window.fetch = async (...asked) => {
            await new Promise((resolve) => setTimeout(resolve, 500));
            return real(...asked);
          };
          const script = document.querySelector('script[src*="offline.js"]').src;
          const outbox = await import(new URL("outbox.js", script));
          await outbox.enter({ text: "note wind from the north" });
          document.body.dispatchEvent(new CustomEvent("changed")); // it goes out
        }"""
    )
    page.locator(".kept").get_by_role("button", name="Undo").click()
    page.locator(".kept", has_text="Taken back").wait_for()
    day.gets("note")  # which of the two is taken in first is chance
    assert day.last("note").words["note"] == "wind from the north"


def test_a_trial_of_the_thermometer_serves_the_day(day: Day) -> None:
    page = day.page
    page.goto("/boil")
    by_elevation = page.locator(".heat .figure").inner_text()
    page.get_by_label("Your thermometer in boiling water").fill("211.3")
    day.press("Use it today")
    page.get_by_text("by your thermometer in boiling water").wait_for()
    assert page.locator(".heat .figure").inner_text() != by_elevation
    page.goto("/log")
    page.goto("/boil")
    assert page.get_by_text("by your thermometer in boiling water").is_visible()


def test_a_cup_is_judged_at_the_bench(day: Day) -> None:
    page = day.page
    page.goto("/bench")
    page.locator("summary", has_text="Is it syrup").click()
    form = page.locator("details[open] form")
    form.locator("[name=hydrometer]").fill("60")
    form.locator("[name=temperature]").fill("211")
    form.locator("button[type=submit]").last.click()
    page.locator("details[open] .answer", has_text="It is syrup").wait_for()


def test_out_of_reach_and_back(day: Day) -> None:
    page = day.page
    page.goto("/boil")
    page.context.set_offline(True)
    day.press("Fire lit")
    page.locator("#outbox", has_text="Waiting: 1").wait_for()
    page.locator("#outbox", has_text="No line to the computer").wait_for()  # once sending failed
    page.context.set_offline(False)
    day.until(lambda: _arrived(day), "it did not arrive")
    page.locator("#outbox", has_text="Waiting").wait_for(state="detached")


def _arrived(day: Day) -> bool:
    with record_of(day.shed.folder) as book:
        return any(each.kind == "fire_lit" for each in book.entries())


@pytest.fixture
def slips(half_season: Path, tmp_path: Path, browser: Any, view: dict[str, Any]) -> Iterator[Day]:
    folder = Path(shutil.copytree(half_season, tmp_path / "house"))
    yield from walked(folder, browser, view)


def test_a_suspect_of_the_ledger_is_corrected_by_one_tap(slips: Day) -> None:
    page = slips.page
    page.goto("/ledger")
    page.get_by_role("heading", name="4 things do not fit the rest").wait_for()  # by itself
    page.get_by_role("button", name="Correct it: 21.5 in").click()
    slips.sees_kept("21.5 in")
    page.get_by_role("heading", name="3 things do not fit the rest").wait_for()
    found = slips.shed.worked_out(ledger_in).value
    assert found is not None
    assert len(found.doubts) == 3
