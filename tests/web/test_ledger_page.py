"""The ledger's page: one tap corrects what can't be right; a claim is held to the balance."""

from __future__ import annotations

import re
import shutil
import time
from collections.abc import Iterator
from html import unescape
from pathlib import Path

import pytest
from starlette.testclient import TestClient

from sugarwright.answering.ledger import ledger_in
from sugarwright.answering.record import record_of
from sugarwright.ledger.account import Line
from sugarwright.ledger.season_ledger import SeasonLedger
from sugarwright.saying.ledger import sugar_rows
from sugarwright.web.app import build
from sugarwright.web.shed import Shed
from web_folder import NOW_S
from web_reading import text_of
from web_serving import PATIENCE_S

FORM = re.compile(r"<form method=\"post\" action=\"/log\".*?</form>", re.DOTALL)
FIELD = re.compile(r'<input type="hidden" name="(\w+)" value="([^"]*)"')


@pytest.fixture(scope="module")
def season(half_season: Path, tmp_path_factory: pytest.TempPathFactory) -> Path:
    """Return a copy of the half season."""
    return Path(shutil.copytree(half_season, tmp_path_factory.mktemp("ledger") / "house"))


@pytest.fixture(scope="module")
def shed(season: Path) -> Iterator[Shed]:
    made = Shed(str(season), lambda: NOW_S, plans=False)
    balanced(made)
    yield made
    made.close()


@pytest.fixture(scope="module")
def pages(shed: Shed) -> Iterator[TestClient]:
    with TestClient(build(shed), base_url="http://localhost") as client:
        yield client


def balanced(shed: Shed) -> SeasonLedger:
    """Wait until the ledger is that of the log as it is."""
    end_s = time.monotonic() + PATIENCE_S
    while time.monotonic() < end_s:
        found = shed.worked_out(ledger_in)
        assert not found.problem
        if found.value is not None and not found.behind:
            return found.value
        time.sleep(0.05)
    pytest.fail("the ledger was not worked out")


def corrections(page: str) -> list[dict[str, str]]:
    """Return the hidden fields of each form that corrects something."""
    doubts = page.partition('class="list doubts"')[2].partition("</section>")[0]
    return [
        {name: unescape(value) for name, value in FIELD.findall(each[0])}
        for each in FORM.finditer(doubts)
    ]


def test_what_can_t_be_right_stands_first_with_its_likely_slip(pages: TestClient) -> None:
    told = text_of(pages.get("/ledger").text)
    assert "4 things do not fit the rest" in told
    assert "Likely: two digits changed places: 21.5 in." in told
    assert "at some 187 °F" in told
    assert told.index("do not fit") < told.index("Where the sugar went")


def test_both_sides_of_the_sugar_stand_there(pages: TestClient, shed: Shed) -> None:
    account = balanced(shed).account
    assert account is not None
    told = text_of(pages.get("/ledger").text)
    drawn = next(each for each in account.went if each.name == "syrup")
    assert f"Syrup drawn {drawn.sugar_kg / 0.45359237:,.1f} lb" in told
    assert f"Sap to syrup: {account.ratio.sap_by_syrup_ratio:.1f} to 1" in told


@pytest.mark.parametrize(
    ("claim", "says"),
    [
        ("420 gal at 1.9 Brix made 9.2 gal", "It closes"),
        ("420 gal at 1.9 Brix made 12.5 gal", "the syrup holds 36 % more sugar than the sap"),
        ("420 gal at 1.9 Brix made 5 gal", "of the sugar is missing in the syrup"),
    ],
)
def test_a_claim_is_held_to_the_balance(pages: TestClient, claim: str, says: str) -> None:
    answer = pages.get("/ledger", params={"claim": claim})
    assert answer.status_code == 200
    assert says in text_of(answer.text)


@pytest.mark.parametrize("claim", ["hello", "420 gal", "<b>", "-1 gal at 2 Brix made 3 gal"])
def test_a_claim_of_nonsense_is_refused_in_words(pages: TestClient, claim: str) -> None:
    answer = pages.get("/ledger", params={"claim": claim})
    assert answer.status_code == 422
    assert 'role="alert"' in answer.text


def test_one_tap_corrects_and_undo_brings_it_back(
    pages: TestClient, shed: Shed, season: Path
) -> None:
    sent = next(each for each in corrections(pages.get("/ledger").text) if "21.5" in each["text"])
    answer = pages.post("/log", data=sent)
    assert answer.url.path == "/ledger"
    assert "Kept" in text_of(answer.text)
    assert "Corrected meanwhile" in text_of(answer.text)  # until it is balanced anew
    with record_of(str(season)) as book:
        old, new = book.history(sent["corrects"])
    assert (old.at_s, old.value("brix")) == (new.at_s, new.value("brix"))
    assert new.value("depth") == pytest.approx(21.5 * 0.0254)
    assert len(balanced(shed).doubts) == 3
    assert "3 things do not fit the rest" in text_of(pages.get("/ledger").text)
    undone = pages.post(
        "/log/undo", data={"key": "undo-of-the-test", "undoes": new.key, "back": "/ledger"}
    )
    assert "Taken back" in text_of(undone.text)
    assert len(balanced(shed).doubts) == 4


def test_each_slip_of_the_demo_has_its_tap_and_all_of_them_set_it_right(
    pages: TestClient, shed: Shed
) -> None:
    found = corrections(pages.get("/ledger").text)
    assert len(found) == 4
    for each in found:
        assert pages.post("/log", data=each).url.path == "/ledger"
    assert balanced(shed).doubts == ()
    assert "Nothing to correct" in text_of(pages.get("/ledger").text)


def test_a_line_that_may_be_nothing_is_nothing() -> None:
    lines = (Line("in the sap tank at the beginning", -0.06, 0.2), Line("gathered", 9.0, 0.5))
    rows = list(sugar_rows(lines, "metric", "all"))
    assert [sugar for _, sugar, _ in rows] == ["0.0 kg", "9.0 kg", "8.9 kg"]
    (lost, _) = sugar_rows((Line("gathered", -3.0, 0.2),), "metric", "all")
    assert lost[1] == "-3.0 kg"  # surely below nothing: that is told
