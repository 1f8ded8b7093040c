"""Pages without a line: the plan, the tanks and the bench as the phone kept them.

Under a name of the network, over plain HTTP (the page stays open) and over HTTPS (opened anew).
"""

from __future__ import annotations

import re
import shutil
from collections.abc import Callable, Iterator
from functools import partial
from pathlib import Path
from typing import Any

import pytest

from sugarwright.bench.instruments import by_hydrometer
from web_folder import NOW_S
from web_phones import House, sign_in, wait_for
from web_serving import standing_known

KEPT = """async () => {
    const { within, result } = await import("/static/offline-store.js");
    return within("things", "readonly", (store) => result(store.getAllKeys()));
}"""
READY = """async () => {
    const { thing } = await import("/static/offline-store.js");
    return (await thing("pages-kept")) !== null && (await thing("bench-tables")) !== null;
}"""
WORKS_ALONE = """async () => {
    await navigator.serviceWorker.ready;
    return navigator.serviceWorker.controller !== null;
}"""
NO_LINE = "No line to the computer. This is what it said at"
ASKED: list[tuple[str, dict[str, str], str]] = [
    (
        "boil",
        {"water-boils": "212"},
        r"Water boils at 212\.0 °F[^$]*66\.9 Brix\s+219\.6 °F\s+7\.6 °F",
    ),
    (
        "adjust",
        {"volume": "6", "brix": "68.2", "to": "66.9"},
        r"Add 1\.30 lb \(20\.0 fl oz\) of water",
    ),
    (
        "blend",
        {"amount-1": "40", "brix-1": "68.2", "amount-2": "38", "brix-2": "65.1", "to": "66.9"},
        r"69\.3 gal of 66\.9 Brix; 768 lb",
    ),
    ("ratio", {"sap": "400", "brix": "2.1", "to": "66.9"}, r"hold 9\.51 gal[^$]*42\.0 of sap"),
    (
        "pack",
        {"volume": "10", "temperature": "186"},
        r"are 9\.71 gal[^$]*quart\s+38\s+2\.77 lb",
    ),
    ("adjust", {"volume": "6", "brix": "x"}, r'Its strength, Brix: "x" is no number'),
    ("boil", {"water-boils": "300"}, r"outside of the tables"),
    ("grade", {"light": "62"}, r"needs the line"),
]
"""Form of the bench, what is typed into it, and what it answers."""


@pytest.fixture(scope="module")
def house_by(
    served_folder: Path, tmp_path_factory: pytest.TempPathFactory
) -> Iterator[Callable[[str], House]]:
    """Serve a house with its log and its plan, at the demo's morning: one for each scheme."""
    made: dict[str, House] = {}

    def by(scheme: str) -> House:
        if scheme not in made:
            folder = tmp_path_factory.mktemp(scheme) / "house"
            shutil.copytree(served_folder, folder)
            made[scheme] = House(folder, scheme, lambda: NOW_S)
            standing_known(made[scheme].lan.shed)
        return made[scheme]

    yield by
    for house in made.values():
        house.close()


@pytest.fixture
def house(house_by: Callable[[str], House], scheme: str) -> House:
    """Return the house with its line up, whatever another test left."""
    found = house_by(scheme)
    found.line.is_up = True
    return found


@pytest.fixture
def page(house: House, phones: Any, scheme: str) -> Any:
    """Return a phone that has kept its pages, and has no line any more."""
    found = phones()
    found.goto(f"{house.address}/bench")  # its script brings the tables
    wait_for(found, lambda: found.evaluate(READY))
    if scheme == "https":
        wait_for(found, lambda: found.evaluate(WORKS_ALONE))
    cut(house)
    return found


def cut(house: House) -> None:
    house.line.is_up = False
    house.line.cut()


def go(page: Any, name: str) -> None:
    page.get_by_role("navigation").get_by_role("link", name=name, exact=True).click()


def test_plan_and_tanks_are_shown_as_they_were_with_their_age(house: House, page: Any) -> None:
    go(page, "Today")
    since = page.locator("kept-since")
    since.get_by_text(NO_LINE).wait_for()
    assert re.search(r"at \d\d:\d\d, (less than )?\d+ min ago", since.inner_text())
    assert page.url == f"{house.address}/"
    assert page.locator(".action").count() >= 2
    assert page.locator(".tank").count() >= 3
    shown = page.locator("main").inner_text()
    house.line.is_up = True
    page.get_by_role("button", name="Try again").click()
    since.wait_for(state="detached")
    real = page.locator("main").inner_text()
    actions = re.findall(r"^\d\d:\d\d$", real, re.MULTILINE)
    assert actions
    assert set(actions) <= set(re.findall(r"^\d\d:\d\d$", shown, re.MULTILINE))


def test_the_bench_answers_by_its_tables_and_says_how_far_they_miss(
    house: House, page: Any
) -> None:
    go(page, "Today")
    page.get_by_text(NO_LINE).wait_for()
    go(page, "More")
    page.locator("main").get_by_role("link", name="Bench").click()
    page.get_by_text("Is it syrup?").click()
    page.get_by_label("Hydrometer shows", exact=True).fill("59,0")
    page.get_by_label("Syrup in its cup").fill("211")
    page.locator("#check").get_by_role("button", name="Work it out").click()
    answer = page.locator('[data-answer="check"]')
    answer.get_by_text("read from its tables on this phone").wait_for()
    truth = by_hydrometer(59.0, (211.0 - 32.0) / 1.8)
    head = answer.locator(".head").inner_text()
    assert f"{truth.brix:.1f} Brix, give or take {2.0 * truth.sd_brix:.1f}" in head
    assert re.search(
        r"They miss strength by a hydrometer for 60 °F by 0\.00\d+ Brix", answer.inner_text()
    )
    assert "Boiling syrup sticks" in answer.inner_text()


def test_all_else_that_it_answers_is_what_the_server_would_say(page: Any) -> None:
    """The figures are those of `sugarwright finish` for the same questions."""
    for ask, typed, words in ASKED:
        page.locator(f"#{ask} > summary").click()
        for name, text in typed.items():
            page.locator(f'#{ask} input[name="{name}"]').fill(text)
        page.locator(f"#{ask}").get_by_role("button", name="Work it out").click()
        answer = page.locator(f'[data-answer="{ask}"]')
        wait_for(page, partial(is_said, answer, words))


def is_said(answer: Any, words: str) -> bool:
    return re.search(words, answer.inner_text()) is not None


@pytest.mark.parametrize("scheme", ["https"])
def test_pages_open_and_reload_without_a_line(house: House, page: Any) -> None:
    page.reload()
    page.get_by_text(NO_LINE).wait_for()
    again = page.context.new_page()
    page.close()
    again.goto(f"{house.address}/")
    again.get_by_text(NO_LINE).wait_for()
    assert again.locator(".action").count() >= 2
    again.goto(f"{house.address}/log")
    again.get_by_text(NO_LINE).wait_for()
    again.get_by_label("Or in words").fill("note opened without a line")
    again.locator("form.words button").click()
    again.locator("#outbox li").get_by_text("opened without a line").wait_for()
    again.goto(f"{house.address}/ledger")
    again.get_by_text("This page is not kept on this phone").wait_for()
    house.line.is_up = True
    wait_for(again, lambda: any("opened without" in str(e.words) for e in house.entries()))


@pytest.mark.parametrize("scheme", ["http"])
def test_over_plain_http_a_page_stays_and_says_what_is_missing(house: House, page: Any) -> None:
    page.evaluate("""document.querySelector('a[href="/ledger"]').click()""")
    page.get_by_text("that page can't be opened now. This one stays.").wait_for()
    assert page.url == f"{house.address}/bench"
    assert page.get_by_text("Plain HTTP: keep this page open").count() == 1


def test_a_page_comes_back_by_itself_when_there_is_a_line(house: House, page: Any) -> None:
    go(page, "Today")
    page.get_by_text(NO_LINE).wait_for()
    house.line.is_up = True
    page.locator("kept-since").wait_for(state="detached", timeout=60_000)
    page.locator(".action").nth(1).wait_for()  # the old page goes before the new one is there


def test_who_signs_out_leaves_nothing_but_what_waits(
    house: House, phones: Any, scheme: str
) -> None:
    page = phones()
    wait_for(page, lambda: page.evaluate(READY.replace("bench-tables", "pages-kept")))
    assert "page:/" in page.evaluate(KEPT)
    page.goto(f"{house.address}/more")
    page.get_by_role("button", name="Sign out here").click()
    page.wait_for_url(f"{house.address}/login")
    wait_for(page, lambda: not [each for each in page.evaluate(KEPT) if each.startswith("page")])
    if scheme == "https":
        cut(house)
        page.goto(f"{house.address}/")
        page.get_by_text("This page is not kept on this phone").wait_for()
        assert "Tamarack" not in page.content()
        house.line.is_up = True
    sign_in(page, house.address)
