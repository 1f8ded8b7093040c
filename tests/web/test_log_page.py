"""The log screen: what is typed is kept once, questioned, corrected and taken back, by forms."""

from __future__ import annotations

import re
from collections.abc import Iterator
from html import unescape
from pathlib import Path

import pytest
from starlette.testclient import TestClient

from sugarwright.logbook.entry import Entry
from sugarwright.logbook.store import open_store
from sugarwright.web.app import build
from sugarwright.web.shed import Shed

DEMO = Path(__file__).parents[2] / "src" / "sugarwright" / "demo" / "sugarhouse.toml"
FORM = re.compile(r"<form method=\"post\" action=\"([^\"]+)\".*?</form>", re.DOTALL)
FIELD = re.compile(r'<input (?=[^>]*type="hidden")[^>]*name="(\w+)" value="([^"]*)"')


@pytest.fixture
def folder(tmp_path: Path) -> Path:
    (tmp_path / "sugarhouse.toml").write_bytes(DEMO.read_bytes())
    return tmp_path


@pytest.fixture
def pages(folder: Path) -> Iterator[TestClient]:
    yield from served(folder)


def served(folder: Path) -> Iterator[TestClient]:
    shed = Shed(str(folder), plans=False)
    with TestClient(build(shed), base_url="http://localhost") as client:
        yield client


def form(page: str, having: str) -> dict[str, str]:
    """Return the hidden fields of the first form that has some text in it."""
    found = next(each[0] for each in FORM.finditer(page) if having in each[0])
    return {name: unescape(value) for name, value in FIELD.findall(found)}


def standing(folder: Path) -> tuple[Entry, ...]:
    with open_store(str(folder), make=False) as book:
        return book.entries()


def quick(client: TestClient, what: str, **typed: str) -> tuple[int, str]:
    """Fill in the form of one ask, as a browser without scripts sends it."""
    sent = form(client.get("/log").text, f'name="what" value="{what}"') | typed
    answer = client.post("/log", data=sent)
    return answer.status_code, answer.text


def test_a_level_is_kept_as_the_same_words_say_it(pages: TestClient, folder: Path) -> None:
    status, page = quick(pages, "sap-level", number="14", unit="in")
    assert status == 200
    assert "14 in on the stick" in page
    (entry,) = standing(folder)
    # 14 in are 0.3556 m: the inch of 1959 is 25.4 mm exactly.
    assert entry.place == "sap"
    assert entry.value("depth") == pytest.approx(0.3556)


def test_a_tank_with_a_stick_takes_inches_or_gallons_and_tells_its_rim(
    pages: TestClient, folder: Path
) -> None:
    quick(pages, "sap-level", number="100", unit="gal")
    (entry,) = standing(folder)
    assert entry.value("volume") == pytest.approx(100 * 231 * 16.387064e-6)  # US gallon: 231 in3
    assert "0 in to 54 in" in pages.get("/log").text


def test_what_has_no_number_needs_none(pages: TestClient, folder: Path) -> None:
    assert quick(pages, "lit")[0] == 200
    assert quick(pages, "draw", number="1.5", unit="gal")[0] == 200
    assert [each.kind for each in standing(folder)] == ["fire_lit", "draw"]


def test_the_last_value_is_told_and_the_most_used_comes_first(pages: TestClient) -> None:
    for number in ("1.8", "1.9"):
        quick(pages, "pan-brix", number=number, unit="Brix")
    page = pages.get("/log").text
    assert page.index("<summary>Pan Brix") < page.index("<summary>Sap level")
    assert re.search(r"Last: <strong>1\.9( Brix)?</strong>, just now", page)


def test_a_form_posted_twice_is_kept_once(pages: TestClient, folder: Path) -> None:
    sent = form(pages.get("/log").text, 'name="what" value="lit"')
    first, second = (pages.post("/log", data=sent) for _ in range(2))
    assert first.status_code == second.status_code == 200
    assert len(standing(folder)) == 1


def test_words_that_say_two_things_are_both_kept_and_taken_back_together(
    pages: TestClient, folder: Path
) -> None:
    sent = form(pages.get("/log").text, 'id="text"')
    page = pages.post("/log", data=sent | {"text": "sap 14in 1.9; lit"}).text
    assert len(standing(folder)) == 2
    page = pages.post("/log/undo", data=form(page, ">Undo<")).text
    assert "Taken back" in page
    assert standing(folder) == ()


def test_a_questioned_value_is_kept_as_it_was_probably_meant_with_one_tap(
    pages: TestClient, folder: Path
) -> None:
    status, page = quick(pages, "sap-brix", number="19", unit="Brix")
    assert status == 422
    assert standing(folder) == ()
    assert 'value="19"' in page  # what was typed is still there
    assert pages.post("/log", data=form(page, "Keep sap 1.9")).status_code == 200
    (entry,) = standing(folder)
    assert entry.value("brix") == 1.9
    assert "doubtful" not in entry.flags


def test_whoever_is_sure_has_it_kept_as_doubtful(pages: TestClient, folder: Path) -> None:
    _, page = quick(pages, "sap-brix", number="19", unit="Brix")
    assert pages.post("/log", data=form(page, "It is so")).status_code == 200
    (entry,) = standing(folder)
    assert entry.value("brix") == 19.0
    assert "doubtful" in entry.flags


def test_nonsense_is_refused_and_stays_in_the_field(pages: TestClient, folder: Path) -> None:
    sent = form(pages.get("/log").text, 'id="text"')
    for text in ("sapp 14", "sap", "<script>alert(1)</script>", "14in 1.9", "'"):
        answer = pages.post("/log", data=sent | {"text": text})
        assert answer.status_code == 422
        typed = re.search(r'<input id="text"[^>]*value="([^"]*)"', answer.text)
        assert typed is not None
        assert unescape(typed[1]) == text
        assert "<script>alert" not in answer.text
    assert standing(folder) == ()


def test_a_form_that_is_no_form_of_ours_keeps_nothing(pages: TestClient, folder: Path) -> None:
    for sent in ({}, {"key": "?"}, {"key": "abcdefgh"}, {"text": "lit"}):
        for path in ("/log", "/log/undo"):
            assert pages.post(path, data=sent).status_code == 422
    assert standing(folder) == ()


def test_what_was_corrected_is_shown_with_the_old_one(pages: TestClient) -> None:
    quick(pages, "sap-level", number="14", unit="in")
    page = pages.get("/log").text
    key = form(page, 'name="undoes"')["undoes"]
    pages.post("/entries", json=[{"key": "corrected-1", "text": "sap 15in", "corrects": key}])
    page = pages.get("/log").text
    assert re.search(r"15 in on the stick.*corrected.*<s>.*14 in on the stick", page, re.DOTALL)


def test_a_house_without_membrane_is_asked_nothing_of_one(folder: Path) -> None:
    path = folder / "sugarhouse.toml"
    text = path.read_text(encoding="utf-8")
    for table in ("membrane", r"tank\.stock", r"tank\.permeate"):
        text = re.sub(rf"^\[{table}\].*?(?=^\[)", "", text, flags=re.DOTALL | re.MULTILINE)
    path.write_text(text, encoding="utf-8")
    for client in served(folder):
        page = client.get("/log").text
        assert "Sap level" in page
        for word in ("Stock", "Permeate", "Membrane"):
            assert f"<summary>{word}" not in page


def test_a_metric_house_types_centimetres_and_litres(folder: Path) -> None:
    path = folder / "sugarhouse.toml"
    text = path.read_text(encoding="utf-8").replace('units = "us"', 'units = "metric"')
    path.write_text(text, encoding="utf-8")
    for client in served(folder):
        assert quick(client, "sap-level", number="35", unit="cm")[0] == 200
        assert "35 cm on the stick" in client.get("/log").text
    (entry,) = standing(folder)
    assert entry.value("depth") == pytest.approx(0.35)


def test_an_entry_of_the_list_is_corrected_in_its_own_words(
    pages: TestClient, folder: Path
) -> None:
    quick(pages, "sap-level", number="14", unit="in")
    page = pages.get("/log").text
    mend = page.partition('class="mend"')[2].partition("</form>")[0]
    assert 'value="sap 14 in"' in mend
    sent = {name: unescape(value) for name, value in FIELD.findall(mend)}
    answer = pages.post("/log", data={**sent, "text": "sap 15 in"})
    assert answer.status_code == 200
    with open_store(str(folder), make=False) as book:
        old, new = book.history(sent["corrects"])
    assert (old.typed, new.typed, new.at_s) == ("sap 14 in", "sap 15 in", old.at_s)
    assert "<s>" in answer.text  # what it said stays visible


def test_older_entries_are_a_link_away(pages: TestClient, folder: Path) -> None:
    pages.post(
        "/entries", json=[{"key": f"entry-{n:03d}", "text": f"stock {n} gal"} for n in range(30)]
    )
    page = pages.get("/log").text
    assert page.count('<time class="at">') == 20
    assert 'href="/log?older=true#newest"' in page
    all_of_them = pages.get("/log?older=true").text
    assert all_of_them.count('<time class="at">') == 30
    assert "Older entries" not in all_of_them
