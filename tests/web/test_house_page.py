"""The page of the house: the description is checked before it is kept."""

from __future__ import annotations

import re
import time
from collections.abc import Iterator
from html import unescape
from pathlib import Path

import pytest
from starlette.testclient import TestClient

from sugarwright.answering.description import mark_of
from sugarwright.logbook.store import open_store
from sugarwright.web.app import build
from sugarwright.web.shed import Shed

DEMO = Path(__file__).parents[2] / "src" / "sugarwright" / "demo" / "sugarhouse.toml"


@pytest.fixture
def folder(tmp_path: Path) -> Path:
    (tmp_path / "sugarhouse.toml").write_bytes(DEMO.read_bytes())
    return tmp_path


@pytest.fixture
def pages(folder: Path) -> Iterator[TestClient]:
    shed = Shed(str(folder), plans=False)
    with TestClient(build(shed), base_url="http://localhost") as client:
        yield client


def fields(page: str) -> dict[str, str]:
    """Return what the form of a page would send, were it sent as it is."""
    text = re.search(r"<textarea[^>]*>\n(.*?)</textarea>", page, re.DOTALL)
    mark = re.search(r'name="began_from" value="(\w+)"', page)
    assert text is not None
    assert mark is not None
    # As browsers send the lines of a form (HTML standard, constructing the entry list).
    return {
        "text": unescape(text[1]).replace("\n", "\r\n"), "began_from": mark[1], "do": "keep",
    }  # fmt: skip


def test_what_was_understood_is_shown(pages: TestClient) -> None:
    assert "Tamarack Hollow" in pages.get("/house").text


def test_a_description_sent_back_as_it_was_changes_no_letter(
    pages: TestClient, folder: Path
) -> None:
    before = (folder / "sugarhouse.toml").read_text(encoding="utf-8")
    answer = pages.post("/house/change", data=fields(pages.get("/house/change").text))
    assert answer.status_code == 200
    assert "Kept." in answer.text
    assert (folder / "sugarhouse.toml").read_text(encoding="utf-8") == before


def test_a_change_is_kept_and_the_one_before_stays_in_the_logbook(
    pages: TestClient, folder: Path
) -> None:
    before = (folder / "sugarhouse.toml").read_text(encoding="utf-8")
    sent = fields(pages.get("/house/change").text)
    sent["text"] = sent["text"].replace("Tamarack Hollow", "Beech Hollow")
    assert "Beech Hollow" in pages.post("/house/change", data=sent).text
    assert "Beech Hollow" in pages.get("/house").text
    with open_store(str(folder), make=False) as book:
        first, last = book.house_at(0.0), book.house_at(time.time())
    assert first == before
    assert last is not None
    assert "Beech Hollow" in last


@pytest.mark.parametrize(
    ("wrong", "says"),
    [("[site\n", "sugarhouse.toml line 1"), ("", "is missing"), ('site = "x"', "site")],
)
def test_what_cannot_be_used_is_told_and_not_kept(
    pages: TestClient, folder: Path, wrong: str, says: str
) -> None:
    before = (folder / "sugarhouse.toml").read_bytes()
    sent = {**fields(pages.get("/house/change").text), "text": wrong}
    answer = pages.post("/house/change", data=sent)
    assert answer.status_code == 422
    assert says in unescape(answer.text)
    assert (folder / "sugarhouse.toml").read_bytes() == before


def test_only_checking_keeps_nothing(pages: TestClient, folder: Path) -> None:
    before = (folder / "sugarhouse.toml").read_bytes()
    sent = fields(pages.get("/house/change").text)
    sent |= {"text": sent["text"].replace("Tamarack Hollow", "Beech Hollow"), "do": "check"}
    answer = pages.post("/house/change", data=sent)
    assert "Nothing is wrong with it" in answer.text
    assert (folder / "sugarhouse.toml").read_bytes() == before


def test_two_who_change_at_once_lose_nothing(pages: TestClient, folder: Path) -> None:
    first = fields(pages.get("/house/change").text)
    second = dict(first)
    first["text"] = first["text"].replace("Tamarack Hollow", "Beech Hollow")
    second["text"] = second["text"].replace("Tamarack Hollow", "Ash Hollow")
    pages.post("/house/change", data=first)
    answer = pages.post("/house/change", data=second)
    assert "changed by somebody else" in unescape(answer.text)
    assert "Ash Hollow" in answer.text  # what was typed is there still
    assert "Beech Hollow" in (folder / "sugarhouse.toml").read_text(encoding="utf-8")


def test_a_mark_is_of_one_text() -> None:
    assert mark_of("a") != mark_of("b")
