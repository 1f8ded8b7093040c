"""What holds for every screen: it fits a phone, can be hit with gloves, and read by all.

Checked by axe-core with the rules of WCAG 2.2, levels A and AA; sizes and schemes are those of the
fixture ``screen``, which also fails when a page asks anything of another machine.
"""

from __future__ import annotations

import time
from typing import Any

import pytest
from axe_playwright_python.sync_playwright import Axe

from sugarwright.web.app import SCREENS
from sugarwright.web.shed import Shed
from web_serving import PATIENCE_S

LEAST_TARGET_PX = 48
RULES = {
    "resultTypes": ["violations"],
    "runOnly": ["wcag2a", "wcag2aa", "wcag21a", "wcag21aa", "wcag22aa", "best-practice"],
}
GRAVE = ("serious", "critical")
PATHS = (*(tab.path for tab in SCREENS.values()), "/house/change", "/invented")
# Of several that open one at a time a test opens all: what one of them shows hangs on no other.
UNFOLD = """() => document.querySelectorAll("details").forEach((each) => {
  each.removeAttribute("name");
  each.open = true;
})"""
# What can be pressed, and how large it is: a box to tick is as large as its label. A link within a
# sentence is let be, as WCAG 2.2, 2.5.8, "Inline", does.
TOO_SMALL = """(least) => {
  const found = [];
  const all = document.querySelectorAll(
    "a[href], button, summary, input, select, textarea, [role=button], [role=slider]");
  for (const each of all) {
    const target = each.matches("[type=radio], [type=checkbox]") ? each.closest("label") : each;
    if (!target) { found.push(`no label around ${each.outerHTML}`); continue; }
    if (!target.checkVisibility() || target.matches(".skip, [type=hidden]")) continue;
    const around = target.parentElement.textContent.trim();
    const inline = getComputedStyle(target).display === "inline";
    if (inline && around.length > target.textContent.trim().length) continue;
    const { width, height } = target.getBoundingClientRect();
    if (Math.min(width, height) < least - 0.5)
      found.push(`${Math.round(width)} x ${Math.round(height)}: ${target.outerHTML.slice(0, 120)}`);
  }
  return found;
}"""


LABELS = "button, .button, .choice, summary, th, h1, h2"
OVERFLOWING = """(labels) => [...document.querySelectorAll(labels)]
  .filter((each) => each.checkVisibility() && each.clientWidth > 1)
  .filter((each) => each.scrollWidth > each.clientWidth + 1)
  .map((each) => each.outerHTML.slice(0, 120))"""


def opened(screen: Any, shed: Shed, path: str) -> None:
    """Open a page with all its answers there, and unfold what is folded."""
    screen.goto(path)
    end_s = time.monotonic() + PATIENCE_S
    while any(answer.is_asked for answer in tuple(shed._answers.values())):
        assert time.monotonic() < end_s, "the page waits for an answer"
        time.sleep(0.05)
    screen.goto(path)
    screen.evaluate(UNFOLD)


def found_by_axe(screen: Any) -> list[str]:
    violations = Axe().run(screen, "html", RULES).response["violations"]
    return [
        f"{each['id']} ({each['impact']}): {node['html'][:200]}"
        for each in violations
        if each["impact"] in GRAVE
        for node in each["nodes"]
    ]


@pytest.mark.parametrize("path", PATHS)
def test_a_page_can_be_used_by_everybody(screen: Any, session_shed: Shed, path: str) -> None:
    opened(screen, session_shed, path)
    assert found_by_axe(screen) == []
    assert screen.evaluate(TOO_SMALL, LEAST_TARGET_PX) == []
    assert screen.evaluate(OVERFLOWING, LABELS) == []
    assert screen.evaluate("document.documentElement.scrollWidth") <= screen.viewport_size["width"]


def test_what_is_wrong_would_be_found(screen: Any) -> None:
    screen.goto("/more")
    screen.evaluate(
        """() => {
          const wrong = document.createElement("div");
          wrong.innerHTML = '<input id="nameless"><a href="/">x</a>';
          document.querySelector("main").append(wrong);
        }"""
    )
    assert [each for each in found_by_axe(screen) if "nameless" in each]
    assert [each for each in screen.evaluate(TOO_SMALL, LEAST_TARGET_PX) if ">x</a>" in each]
