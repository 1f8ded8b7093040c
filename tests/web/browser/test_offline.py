"""The outbox in a real browser, under a name of the network: over plain HTTP, and over HTTPS."""

from __future__ import annotations

import re
import time
from typing import Any

from sugarwright.logbook.book import Logbook
from web_phones import House, wait_for

EACH = 250
ENTER = """async ([who, from, count]) => {
    const { enter } = await import("/static/outbox.js");
    const made = [];
    for (let i = from; i < from + count; i += 1) {
        made.push(await enter({ text: `note ${who} ${i}`, who }));
    }
    return made.map(({ key, made_at }) => [key, made_at]);
}"""
STATES = """async () => {
    const { entries } = await import("/static/outbox.js");
    return (await entries()).map(({ state }) => state);
}"""


def say(page: Any, text: str) -> None:
    page.get_by_label("Or in words").fill(text)
    page.locator("form.words button").click()


def test_an_entry_is_kept_while_there_is_no_line_and_goes_out_by_itself(
    house: House, phones: Any
) -> None:
    page = phones()
    house.line.is_up = False
    house.line.cut()
    pressed_s = time.time()
    say(page, "note owls are back")
    page.get_by_text("No line to the computer").first.wait_for()
    waiting = page.locator("#outbox li")
    assert "note owls are back" in waiting.inner_text()
    assert "kept on this phone" in waiting.inner_text()
    assert house.entries() == ()
    page.wait_for_timeout(6000)
    house.line.is_up = True
    wait_for(page, lambda: len(house.entries()) == 1)
    assert 0.0 <= house.entries()[0].made_s - pressed_s < 5.0  # and not of when it arrived
    wait_for(page, lambda: page.locator("#outbox li").count() == 0)


def test_an_answer_that_is_lost_keeps_nothing_twice(house: House, phones: Any) -> None:
    page = phones()
    # From the entry on, not before: no encrypted connection is opened anew while answers are lost.
    house.line.swallows = lambda: len(house.entries()) > 0
    say(page, "note once")
    wait_for(page, lambda: len(house.entries()) == 1)
    assert "kept on this phone" in page.locator("#outbox li").inner_text()
    house.line.swallows = lambda: False
    wait_for(page, lambda: page.evaluate(STATES) == ["kept"])
    assert len(house.entries()) == 1


def test_what_waits_outlives_the_page(house: House, phones: Any) -> None:
    page = phones()
    house.line.is_up = False
    house.line.cut()
    page.evaluate(ENTER, ["Ann", 0, 3])
    page.close(run_before_unload=False)
    house.line.is_up = True
    context = page.context
    again = context.new_page()
    again.goto(f"{house.address}/log")
    wait_for(again, lambda: len(house.entries()) == 3)
    assert [each.words["note"] for each in house.entries()] == ["Ann 0", "Ann 1", "Ann 2"]


def test_what_is_questioned_or_refused_stays_until_somebody_decides(
    house: House, phones: Any
) -> None:
    page = phones()
    say(page, "sap 120 gal 19")
    questioned = page.locator('#outbox li[data-state="questioned"]')
    questioned.wait_for()
    assert questioned.inner_text().splitlines() == ["sap 120 gal 19", "1.9?"]
    assert house.entries() == ()
    questioned.locator("summary").click()
    told = questioned.locator(".problem").inner_text()
    assert re.match(r"\d\d:\d\d\. .* Did you mean", told)
    page.get_by_role("button", name="It is so: send it").click()
    wait_for(page, lambda: len(house.entries()) == 1)
    assert house.entries()[0].flags == ("doubtful",)
    say(page, "spa 12")
    refused = page.locator('#outbox li[data-state="refused"]')
    refused.wait_for()
    assert not refused.get_by_role("textbox").is_visible()
    refused.locator("summary").click()
    refused.get_by_role("textbox").fill("sap 12 gal")
    refused.get_by_role("button", name="Send as changed").click()
    wait_for(page, lambda: len(house.entries()) == 2)


def test_a_waiting_entry_that_is_taken_back_never_stands(house: House, phones: Any) -> None:
    page = phones()
    house.line.is_up = False
    house.line.cut()
    # The sender tries a new entry at once; what was handed to the line may have arrived, and is
    # then taken back by an entry behind it. Either way nothing stands in the end.
    page.evaluate("""async () => {
        const { enter, undo } = await import("/static/outbox.js");
        const { key } = await enter({ text: "note never" });
        await undo(key);
    }""")
    house.line.is_up = True
    wait_for(page, lambda: "waiting" not in page.evaluate(STATES))
    assert house.entries() == ()


def test_500_entries_of_two_phones_over_a_dropping_line_arrive_once_and_in_order(
    house: House, phones: Any
) -> None:
    pages = {name: phones() for name in ("Ann", "Ben")}
    house.line.start_dropping()
    made: dict[str, list[Any]] = {name: [] for name in pages}
    for begin in range(0, EACH, 50):
        for name, page in pages.items():
            made[name] += page.evaluate(ENTER, [name, begin, 50])
            page.evaluate('import("/static/outbox-send.js").then(({ sendNow }) => void sendNow())')
    any_page = pages["Ann"]
    wait_for(any_page, lambda: len(house.entries()) >= 2 * EACH, 240.0)
    for page in pages.values():
        wait_for(page, lambda page=page: "waiting" not in page.evaluate(STATES))
    assert house.line.drops >= 2
    with Logbook.open(house.lan.folder) as book:
        written = tuple(reversed(book.newest(10 * EACH)))
    assert len(written) == 2 * EACH
    for name in pages:
        mine = [each for each in written if each.who == name]
        assert [each.key for each in mine] == [key for key, _ in made[name]]
        assert [each.made_s for each in mine] == [at for _, at in made[name]]
