"""Today in a real browser, phone and desktop, light and dark."""

from __future__ import annotations

from typing import Any

from sugarwright.logbook.words import understand
from sugarwright.web.shed import Shed
from web_folder import NOW_S

LEAST_TARGET_PX = 48


def test_it_fits_and_the_next_action_is_seen_first(screen: Any) -> None:
    screen.goto("/")
    width = screen.viewport_size["width"]
    assert screen.evaluate("document.documentElement.scrollWidth") <= width
    box = screen.locator("#next").bounding_box()
    assert box["y"] + box["height"] < screen.viewport_size["height"]
    sizes = screen.evaluate(
        """() => [...document.querySelectorAll("main *")].filter((e) => e.textContent.trim())
             .map((e) => [parseFloat(getComputedStyle(e).fontSize), !!e.closest("#next")])"""
    )
    largest = max(size for size, _ in sizes)
    assert all(is_next for size, is_next in sizes if size == largest)


def test_what_is_pressed_is_large_enough(screen: Any) -> None:
    screen.goto("/")
    for each in screen.locator("button:visible, nav a:visible, summary:visible").all():
        assert each.bounding_box()["height"] >= LEAST_TARGET_PX


def test_charts_are_drawn_and_have_their_table(screen: Any) -> None:
    screen.goto("/")
    charts = screen.locator("fan-chart")
    screen.wait_for_function("document.querySelectorAll('fan-chart[data-drawn] canvas').length > 0")
    assert charts.count() == screen.locator("fan-chart canvas").count() == 4
    screen.get_by_text("The same as a table").click()
    assert screen.locator("#ahead ~ details tbody tr").count() >= 20


def test_the_scheme_can_be_picked_and_stays(screen: Any) -> None:
    ground = "getComputedStyle(document.body).backgroundColor"
    screen.goto("/more")
    screen.get_by_label("Dark, for the shed").check()
    dark = screen.evaluate(ground)
    screen.get_by_label("Light, for snow").check()
    assert screen.evaluate(ground) != dark
    screen.get_by_label("Dark, for the shed").check()
    screen.goto("/")
    assert screen.evaluate(ground) == dark


def test_the_keyboard_reaches_the_content(screen: Any) -> None:
    screen.goto("/")
    screen.keyboard.press("Tab")
    assert screen.evaluate("document.activeElement.className") == "skip"
    screen.keyboard.press("Enter")
    assert screen.evaluate("document.activeElement.id") == "main"


def test_what_another_phone_logs_comes_by_itself(screen: Any, session_shed: Shed) -> None:
    screen.goto("/")
    screen.wait_for_selector("fan-chart[data-drawn]")
    screen.locator("summary").first.click()
    entry = understand("note the owls are back", session_shed.house(), NOW_S).entries
    with session_shed.record(make=True) as book:
        book.add(entry)
    with screen.expect_response(lambda answer: answer.url.endswith("/") and answer.ok):
        session_shed.changed()
    screen.wait_for_timeout(300)
    assert screen.locator("details[open]").count() == 1  # what was opened stays open
    assert screen.locator("fan-chart canvas").count() == 4
