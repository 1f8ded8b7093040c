"""From an empty folder to a working plan, on a phone-sized page and a desktop's."""

from __future__ import annotations

from collections.abc import Iterator
from datetime import UTC, datetime, timedelta
from pathlib import Path
from typing import Any

import pytest
from axe_playwright_python.sync_playwright import Axe

from house_files import ANSWERS
from sugarwright.web.beginning import Beginning
from web_serving import PATIENCE_S, serving

SIZES = {"phone": (360, 740), "desktop": (1280, 800)}
PATIENCE_MS = 1000.0 * PATIENCE_S


@pytest.fixture
def address(tmp_path: Path) -> Iterator[str]:
    beginning = Beginning(str(tmp_path / "hill-house"))
    with serving(beginning) as served:
        yield served
    beginning.close()


@pytest.fixture
def opened(browser: Any, address: str) -> Iterator[Any]:
    """Return what opens a page there; outside requests and errors of scripts fail the test."""
    problems: list[str] = []
    contexts = []

    def page(**how: Any) -> Any:
        context = browser.new_context(base_url=address, timezone_id="America/Toronto", **how)
        contexts.append(context)
        made = context.new_page()
        made.on("pageerror", lambda error: problems.append(str(error)))
        made.on(
            "request",
            lambda asked: problems.append(asked.url) if not asked.url.startswith(address) else None,
        )
        return made

    yield page
    for context in contexts:
        context.close()
    assert problems == []


def fill_in(page: Any, **instead: str) -> None:
    for path, text in (ANSWERS | instead).items():
        if path == "membrane":
            page.locator("#membrane").get_by_label("Yes" if text == "yes" else "No").check()
        else:
            page.locator(f'[name="{path}"]').fill(text)


@pytest.mark.parametrize("scheme", ["light", "dark"])
@pytest.mark.parametrize("size", SIZES)
def test_the_questions_can_be_read_and_hit_by_everybody(
    opened: Any, size: str, scheme: str
) -> None:
    width, height = SIZES[size]
    page = opened(viewport={"width": width, "height": height}, color_scheme=scheme)
    for step in ("units", "questions", "problems"):
        if step == "units":
            page.goto("/")
        elif step == "questions":
            page.get_by_role("link", name="Gallons").click()
        else:
            page.evaluate("document.querySelectorAll('input').forEach((e) => (e.required = false))")
            page.get_by_role("button", name="Write it down").click()
            page.wait_for_selector(".problem")
        violations = Axe().run(page).response["violations"]
        assert [e["id"] for e in violations if e["impact"] in ("serious", "critical")] == []
        assert page.evaluate("document.documentElement.scrollWidth") <= width
        for each in page.locator("a.choice, main input:visible:not([type=radio]), button").all():
            assert each.bounding_box()["height"] >= 48


def test_what_an_answer_makes_needless_is_not_asked(opened: Any) -> None:
    page = opened()
    page.goto("/?units=us")
    stock, tank = page.locator("#tank-stock-volume"), page.locator("#gathering-tank-volume")
    assert not stock.is_visible()
    assert not tank.is_visible()
    page.locator("#membrane").get_by_label("Yes").check()
    page.get_by_label("Trips").check()
    assert stock.is_visible()
    assert tank.is_visible()


def test_the_devices_time_zone_stands_there(opened: Any) -> None:
    page = opened()
    page.goto("/?units=us")
    assert page.locator("#site-timezone").input_value() == "America/Toronto"


def test_without_scripts_a_slip_is_shown_beside_its_field(opened: Any) -> None:
    page = opened(java_script_enabled=False)
    page.goto("/?units=us")
    fill_in(page, **{"site.longitude": "71.9", "gathering.taps": "many"})
    page.get_by_role("button", name="Write it down").click()
    assert "whole number" in page.locator("#gathering-taps-problem").inner_text()
    assert page.locator("#gathering-taps").input_value() == "many"
    assert page.locator("#tank-sap-volume").input_value() == "420 gal"
    page.locator("#gathering-taps").fill("310")
    page.get_by_role("button", name="Write it down").click()
    assert "-71.9" in page.locator("#site-longitude-problem").inner_text()


def test_from_an_empty_folder_to_a_plan(opened: Any, tmp_path: Path) -> None:
    page = opened(viewport={"width": 360, "height": 740})
    page.goto("/")
    page.get_by_role("link", name="Gallons").click()
    tapped = datetime.now(UTC).date() - timedelta(days=20)
    fill_in(page, **{"trees.tapped": tapped.isoformat()})
    page.get_by_role("button", name="Write it down").click()
    page.wait_for_url("**/weather?begun=true")
    assert (tmp_path / "hill-house" / "sugarhouse.toml").exists()
    for label, text in (("#low-1", "24"), ("#high-1", "45"), ("#low-2", "26"), ("#high-2", "48")):
        page.locator(label).fill(text)
    page.get_by_role("button", name="Keep").click()
    page.get_by_role("link", name="Log a reading").click()
    page.get_by_label("Or in words").fill("sap 300 gal 2.1; stock 20 gal 6; permeate 100 gal")
    page.locator("form.words").get_by_role("button", name="Keep").click()
    page.locator(".kept").wait_for()
    page.goto("/")
    page.locator("#day").wait_for(timeout=PATIENCE_MS)
    assert page.locator(".problem").count() == 0
    assert page.locator("fan-chart").count() > 0
