"""Entries that come from phones: each once, each answered, none dropped."""

from __future__ import annotations

import threading
from pathlib import Path
from typing import Any

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from starlette.testclient import TestClient

from sugarwright.logbook.book import Logbook
from sugarwright.web.intake import Said, take_in
from sugarwright.web.shed import Shed
from web_folder import NOW_S


def send(pages: TestClient, *said: dict[str, Any], clock_s: float | None = None) -> list[Any]:
    headers = {} if clock_s is None else {"x-phone-clock": str(clock_s)}
    answer = pages.post("/entries", json=list(said), headers=headers)
    assert answer.status_code == 200, answer.text
    found: list[Any] = answer.json()
    return found


def texts(folder: Path) -> list[str]:
    with Logbook.open(folder) as book:
        return [each.typed for each in book.entries(begin_s=NOW_S - 600.0)]


def test_each_gets_its_own_answer(pages: TestClient, folder: Path) -> None:
    answers = send(
        pages,
        {"key": "aaaaaaaa", "text": "stock 33 gal 6.1", "made_at": NOW_S - 60.0},
        {"key": "bbbbbbbb", "text": "sap 900 gal"},
        {"key": "cccccccc", "text": "blub"},
        {"key": "dddddddd", "text": "permeate 120 gal"},
    )
    assert [each["state"] for each in answers] == ["kept", "questioned", "refused", "kept"]
    assert "stock tank: 33 gal" in answers[0]["words"]
    assert answers[1]["meant"] == "90 gal"
    assert "425 gal" in answers[1]["words"]
    assert "is not understood" in answers[2]["words"]
    assert texts(folder)[-2:] == ["stock 33 gal 6.1", "permeate 120 gal"]


def test_a_repeat_is_there_already_and_another_of_the_same_key_is_refused(
    pages: TestClient, folder: Path
) -> None:
    said = {"key": "aaaaaaaa", "text": "lit, stock 33 gal", "made_at": NOW_S - 60.0}
    assert send(pages, said)[0]["state"] == "kept"
    count = len(texts(folder))
    assert send(pages, said, said)[1]["state"] == "already there"
    assert send(pages, {**said, "made_at": NOW_S})[0]["state"] == "already there"
    assert send(pages, {**said, "text": "stock 34 gal"})[0]["state"] == "refused"
    assert len(texts(folder)) == count


def test_sure_keeps_what_was_questioned(pages: TestClient, folder: Path) -> None:
    said = {"key": "aaaaaaaa", "text": "sap 900 gal"}
    assert send(pages, said)[0]["state"] == "questioned"
    assert send(pages, {**said, "sure": True})[0]["state"] == "kept"
    with Logbook.open(folder) as book:
        assert "doubtful" in book.entries()[-1].flags


def test_what_one_text_said_is_taken_back_together(pages: TestClient, folder: Path) -> None:
    before = texts(folder)
    send(pages, {"key": "aaaaaaaa", "text": "lit, stock 33 gal"})
    back = {"key": "bbbbbbbb", "undoes": "aaaaaaaa"}
    assert [each["state"] for each in send(pages, back, back)] == ["kept", "already there"]
    assert texts(folder) == before
    assert send(pages, {"key": "cccccccc", "undoes": "nothing-there"})[0]["state"] == "refused"


def test_a_correction_stands_and_the_old_one_stays(pages: TestClient, folder: Path) -> None:
    send(pages, {"key": "aaaaaaaa", "text": "stock 33 gal", "made_at": NOW_S - 300.0})
    send(pages, {"key": "bbbbbbbb", "text": "stock 35 gal", "corrects": "aaaaaaaa"})
    with Logbook.open(folder) as book:
        old, new = book.history("aaaaaaaa")
    assert (old.typed, new.typed) == ("stock 33 gal", "stock 35 gal")
    assert new.at_s == old.at_s


@pytest.mark.parametrize("ahead_s", [-7200.0, 0.0, 86400.0])
def test_times_are_those_of_this_clock(pages: TestClient, folder: Path, ahead_s: float) -> None:
    said = {"key": "aaaaaaaa", "text": "stock 33 gal", "made_at": NOW_S - 1800.0 + ahead_s}
    send(pages, said, clock_s=NOW_S + ahead_s)
    with Logbook.open(folder) as book:
        (entry,) = book.history("aaaaaaaa")
    assert entry.at_s == pytest.approx(NOW_S - 1800.0, abs=1.0)


def test_nothing_is_of_later(pages: TestClient, folder: Path) -> None:
    send(pages, {"key": "aaaaaaaa", "text": "stock 33 gal", "made_at": NOW_S + 60.0})
    with Logbook.open(folder) as book:
        assert book.history("aaaaaaaa")[0].at_s <= NOW_S


def test_two_phones_at_once_keep_each_entry_once(shed: Shed, folder: Path) -> None:
    before = len(texts(folder))
    said = [Said(key=f"phone-{n:04d}", text=f"stock {20 + n} gal") for n in range(30)]
    threads = [threading.Thread(target=take_in, args=(shed, said)) for _ in range(2)]
    for each in threads:
        each.start()
    for each in threads:
        each.join()
    assert len(texts(folder)) == before + 30


@settings(max_examples=25, deadline=None)
@given(text=st.text(st.characters(codec="utf-8"), max_size=60))
def test_any_text_gets_an_answer(session_shed: Shed, text: str) -> None:
    (answer,) = take_in(session_shed, [Said(key="fuzzfuzz" + text.encode().hex()[:56], text=text)])
    assert answer.state in ("kept", "already there", "questioned", "refused")
    assert answer.words


@pytest.mark.parametrize("wrong", [{}, {"key": "short"}, {"key": "aaaaaaaa", "made_at": 1e300}])
def test_what_is_no_entry_is_refused_in_words(pages: TestClient, wrong: dict[str, Any]) -> None:
    answer = pages.post("/entries", json=[wrong])
    assert answer.status_code == 422
    assert answer.json()["problem"]


def test_what_another_changed_meanwhile_is_asked_and_never_dropped(
    pages: TestClient, folder: Path
) -> None:
    send(pages, {"key": "aaaaaaaa", "text": "stock 33 gal", "made_at": NOW_S - 300.0})
    send(pages, {"key": "bbbbbbbb", "text": "stock 35 gal", "corrects": "aaaaaaaa", "who": "Ann"})
    mine = {"key": "cccccccc", "text": "stock 36 gal", "corrects": "aaaaaaaa"}
    (asked,) = send(pages, mine)
    assert asked["state"] == "questioned"
    assert "35 gal" in asked["words"]
    with Logbook.open(folder) as book:
        assert [each.typed for each in book.history("aaaaaaaa")] == ["stock 33 gal", "stock 35 gal"]
    assert send(pages, {**mine, "sure": True})[0]["state"] == "kept"
    with Logbook.open(folder) as book:
        assert book.history("aaaaaaaa")[-1].typed == "stock 36 gal"
        assert [each.replaces for each in book.history("aaaaaaaa")] == [
            None,
            "aaaaaaaa",
            "bbbbbbbb",
        ]


def test_what_another_took_back_meanwhile_is_asked_too(pages: TestClient, folder: Path) -> None:
    send(pages, {"key": "aaaaaaaa", "text": "stock 33 gal"})
    send(pages, {"key": "bbbbbbbb", "undoes": "aaaaaaaa"})
    for said in (
        {"key": "cccccccc", "text": "stock 36 gal", "corrects": "aaaaaaaa"},
        {"key": "dddddddd", "undoes": "aaaaaaaa"},
    ):
        (asked,) = send(pages, said)
        assert asked["state"] == "questioned"
        assert "was taken back" in asked["words"]
    assert send(pages, {**said, "sure": True})[0]["state"] == "kept"
    with Logbook.open(folder) as book:
        assert book.history("aaaaaaaa")[-1].typed == "undo"
