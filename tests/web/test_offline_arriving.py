"""What becomes of entries that a phone sends: kept once, questioned, refused; never dropped."""

from __future__ import annotations

from pathlib import Path
from types import SimpleNamespace
from typing import Any

import pytest
from fastapi import FastAPI
from fastapi.testclient import TestClient

from command_line import make_house
from sugarwright.logbook.book import Logbook
from sugarwright.logbook.entry import Entry
from sugarwright.web.offline import routes

NOW_S = 1_804_590_000.0  # 2027-03-09 11:00Z, an invented spring
MADE_S = NOW_S - 3 * 3600.0


@pytest.fixture
def folder(tmp_path: Path) -> Path:
    return make_house(tmp_path / "house")


@pytest.fixture
def phone(folder: Path, monkeypatch: pytest.MonkeyPatch) -> TestClient:
    monkeypatch.setattr(routes.time, "time", lambda: NOW_S)
    app = FastAPI()
    app.state.shed = SimpleNamespace(folder=str(folder))
    app.include_router(routes.router)
    return TestClient(app)


def send(phone: TestClient, *entries: dict[str, Any], clock: float = NOW_S) -> list[dict[str, Any]]:
    sent = [{"made_at": MADE_S, **each} for each in entries]
    answer = phone.post("/entries", json=sent, headers={"x-phone-clock": str(clock)})
    assert answer.status_code == 200, answer.text
    return list(answer.json())


def standing(folder: Path) -> tuple[Entry, ...]:
    with Logbook.open(folder) as book:
        return book.entries()


def test_an_entry_bears_the_time_at_which_it_was_made(phone: TestClient, folder: Path):
    (answer,) = send(phone, {"key": "a1", "text": "sap 120 gal 1.9", "who": "Ann"})
    assert answer["state"] == "kept"
    assert "sap tank: 120 gal, 1.9 Brix" in answer["words"]
    (entry,) = standing(folder)
    assert (entry.key, entry.at_s, entry.made_s, entry.who) == ("a1", MADE_S, MADE_S, "Ann")


def test_a_time_that_is_said_counts_from_when_it_was_said(phone: TestClient, folder: Path):
    send(phone, {"key": "a1", "text": "sap 120 gal at 2:30"})
    assert standing(folder)[0].at_s == MADE_S - 30 * 60.0  # 03:30 by the house's clock, -05:00


def test_the_same_key_again_is_there_already_though_the_computer_s_clock_went_on(
    phone: TestClient, folder: Path, monkeypatch: pytest.MonkeyPatch
):
    sent = {"key": "a1", "text": "draw 1 gal, lit"}
    assert send(phone, sent)[0]["entries"] == ["a1", "a1-2"]
    monkeypatch.setattr(routes.time, "time", lambda: NOW_S + 4000.0)
    (again,) = send(phone, sent)
    assert (again["state"], again["entries"]) == ("already there", ["a1", "a1-2"])
    assert len(standing(folder)) == 2


def test_a_value_beyond_what_can_be_is_asked_about_and_kept_when_sure(phone: TestClient, folder: Path):
    odd = {"key": "a1", "text": "sap 120 gal 19"}
    (asked,) = send(phone, odd)
    assert asked["state"] == "questioned"
    assert "send it anyway" in asked["words"]
    assert standing(folder) == ()
    assert send(phone, odd | {"sure": True})[0]["state"] == "kept"
    assert standing(folder)[0].flags == ("doubtful",)


def test_one_that_is_not_understood_does_not_hold_up_those_behind_it(phone: TestClient, folder: Path):
    first, second = send(phone, {"key": "a1", "text": "spa 12"}, {"key": "a2", "text": "lit"})
    assert (first["state"], second["state"]) == ("refused", "kept")
    assert first["words"]
    assert [each.key for each in standing(folder)] == ["a2"]


def test_taking_back_takes_all_that_was_said_at_once(phone: TestClient, folder: Path):
    send(phone, {"key": "a1", "text": "draw 1 gal, lit"})
    (answer,) = send(phone, {"key": "u1", "undoes": "a1"})
    assert answer["state"] == "kept"
    assert standing(folder) == ()
    assert send(phone, {"key": "u1", "undoes": "a1"})[0]["state"] == "already there"


def test_taking_back_what_never_came_is_no_trouble(phone: TestClient):
    (answer,) = send(phone, {"key": "u1", "undoes": "gone"})
    assert answer["state"] == "kept"
    assert "never came" in answer["words"]


@pytest.mark.parametrize("mine", [{"undoes": "a1"}, {"corrects": "a1", "text": "sap 90 gal"}])
def test_what_another_phone_changed_meanwhile_is_asked_about(
    phone: TestClient, folder: Path, mine: dict[str, str]
):
    send(phone, {"key": "a1", "text": "sap 120 gal"})
    send(phone, {"key": "b1", "corrects": "a1", "text": "sap 130 gal", "who": "Ben"})
    (asked,) = send(phone, {"key": "a2", **mine})
    assert asked["state"] == "questioned"
    assert "changed since by Ben; now it says: sap tank: 130 gal" in asked["words"]
    assert [each.key for each in standing(folder)] == ["b1"]
    assert send(phone, {"key": "a2", "sure": True, **mine})[0]["state"] == "kept"
    assert [each.key for each in standing(folder)] != ["b1"]


@pytest.mark.parametrize(("off_s", "said"), [(2580.0, "43 min slow"), (-7 * 3600.0, "7 h fast")])
def test_a_phone_whose_clock_is_wrong_is_told_and_put_right(
    phone: TestClient, folder: Path, off_s: float, said: str
):
    sent = {"key": "a1", "text": "lit", "made_at": MADE_S - off_s}
    (answer,) = send(phone, sent, clock=NOW_S - off_s)
    assert said in answer["words"]
    assert standing(folder)[0].at_s == pytest.approx(MADE_S, abs=1.0)


def test_seconds_between_clocks_are_nobody_s_business(phone: TestClient, folder: Path):
    (answer,) = send(phone, {"key": "a1", "text": "lit"}, clock=NOW_S - 8.0)
    assert "clock" not in answer["words"]
    assert standing(folder)[0].at_s == MADE_S


@pytest.mark.parametrize("bad", [{"text": ""}, {"text": "x" * 3000}, {"key": ""}, {"made_at": -1}])
def test_nonsense_is_refused_in_words(phone: TestClient, folder: Path, bad: dict[str, Any]):
    (answer,) = send(phone, {"key": "a1", "text": "lit", **bad})
    assert answer["state"] == "refused"
    assert answer["words"]
    assert standing(folder) == ()


def test_a_logbook_that_cannot_be_written_is_the_server_s_trouble(phone: TestClient, folder: Path):
    (folder / "logbook.db").write_bytes(b"no database" * 100)
    answer = phone.post("/entries", json=[{"key": "a1", "text": "lit"}])
    assert answer.status_code == 503


def test_too_many_at_once_are_not_looked_at(phone: TestClient):
    sent = [{"key": f"a{i}", "text": "lit"} for i in range(201)]
    assert phone.post("/entries", json=sent).status_code == 413
