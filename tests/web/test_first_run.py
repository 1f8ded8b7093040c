"""A folder without a description: the questions, what is wrong beside them, and going over."""

from __future__ import annotations

import re
from collections.abc import Iterator
from html import unescape
from pathlib import Path

import pytest
from starlette.testclient import TestClient

from command_line import run
from house_files import ANSWERS, FETCHED, SMALL
from sugarwright.plant.questions import questions
from sugarwright.plant.read_house import read_house
from sugarwright.web.beginning import Beginning
from sugarwright.web.pages.first_run import GROUPS, _belongs
from web_folder import write_house

US = {"site.units": "us"}


@pytest.fixture
def folder(tmp_path: Path) -> Path:
    return tmp_path / "hill-house"


@pytest.fixture
def beginning(folder: Path) -> Iterator[Beginning]:
    made = Beginning(str(folder), plans=False)
    yield made
    made.close()


@pytest.fixture
def pages(beginning: Beginning) -> Iterator[TestClient]:
    with TestClient(beginning, base_url="http://localhost") as client:
        yield client


def wrong(page: str) -> dict[str, str]:
    """Return what is said beside each field."""
    found = re.findall(r'class="wrong" id="([\w-]+)-problem">([^<]*)<', page)
    return {name: unescape(text) for name, text in found}


def test_the_same_answers_make_the_same_house_as_the_command(
    pages: TestClient, folder: Path, tmp_path: Path
) -> None:
    for count, answers in enumerate((ANSWERS, FETCHED, SMALL)):
        words = [word for pair in answers.items() for word in ("--set", "=".join(pair))]
        assert run("new", tmp_path / f"by-command-{count}", "--yes", *words).code == 0
        other = Beginning(str(tmp_path / f"by-page-{count}"), plans=False)
        with TestClient(other, base_url="http://localhost") as client:
            assert client.post("/", data=US | answers).status_code == 200
        other.close()
        files = [tmp_path / f"by-{how}-{count}" / "sugarhouse.toml" for how in ("command", "page")]
        assert read_house(files[0]) == read_house(files[1])
    assert not folder.exists()


def test_every_question_is_asked_once_under_a_heading() -> None:
    for question in questions():
        under = [heading for heading, parts in GROUPS if _belongs(question.path, parts)]
        assert len(under) == 1, question.path


def test_units_are_asked_first_and_what_is_offered_is_in_them(pages: TestClient) -> None:
    first = pages.get("/").text
    assert "<form" not in first
    assert 'href="/?units=metric"' in first
    metric = pages.get("/?units=metric").text
    assert 'value="Hill house"' in metric
    assert 'value="305 m"' in metric
    assert 'value="1000 ft"' in pages.get("/?units=us").text


def test_all_other_addresses_lead_to_the_questions(pages: TestClient) -> None:
    for path in ("/log", "/weather", "/house/change", "/now.json"):
        answer = pages.get(path, follow_redirects=False)
        assert (answer.status_code, answer.headers["location"]) == (303, "/")
    assert pages.get("/static/base.css").status_code == 200
    assert "default-src 'self';" in pages.get("/").headers["content-security-policy"]


def test_slips_are_told_all_at_once_beside_their_fields(pages: TestClient, folder: Path) -> None:
    slips = {
        "gathering.taps": "many",
        "site.timezone": "America/New_Yrok",
        "tank.sap.volume": "400",
        "trees.tapped": "",
    }
    answer = pages.post("/", data=US | ANSWERS | slips)
    assert answer.status_code == 422
    told = wrong(answer.text)
    assert set(told) == {each.replace(".", "-") for each in slips}
    assert "America/New_York" in told["site-timezone"]
    assert "s needed" in told["trees-tapped"]
    assert 'value="many"' in answer.text
    assert 'value="21 gal/h"' in answer.text  # what was right stays
    assert not folder.exists()


def test_answers_that_contradict_each_other_are_told_too(pages: TestClient, folder: Path) -> None:
    answer = pages.post("/", data=US | ANSWERS | {"site.longitude": "71.9"})
    assert answer.status_code == 422
    assert "-71.9" in wrong(answer.text)["site-longitude"]
    assert not folder.exists()


def test_what_is_not_asked_of_this_house_is_not_read(pages: TestClient, folder: Path) -> None:
    needless = {"tank.stock.volume": "nonsense", "gathering.tank.volume": "12 cats"}
    answer = pages.post("/", data=US | SMALL | needless)
    assert answer.status_code == 200
    house = read_house(folder / "sugarhouse.toml")
    assert (house.membrane, house.stock_tank) == (None, None)


def test_then_the_weather_is_asked_for_on_the_same_address(pages: TestClient) -> None:
    answer = pages.post("/", data=US | ANSWERS)
    assert answer.url.path == "/weather"
    assert "Your sugarhouse is written down" in answer.text
    assert "Tell the weather" in pages.get("/").text
    assert pages.post("/", data=US | ANSWERS).status_code == 405


def test_a_description_that_comes_from_elsewhere_is_taken_up(
    pages: TestClient, folder: Path
) -> None:
    assert "A new sugarhouse" in pages.get("/").text
    write_house(folder)
    assert "Tamarack Hollow" in pages.get("/").text


def test_a_description_that_came_meanwhile_is_not_overwritten(
    pages: TestClient, folder: Path
) -> None:
    write_house(folder)
    before = (folder / "sugarhouse.toml").read_bytes()
    answer = pages.post("/", data=US | ANSWERS)
    assert answer.status_code == 422
    assert "not overwritten" in answer.text
    assert (folder / "sugarhouse.toml").read_bytes() == before


def test_a_folder_that_cannot_be_written_is_told(tmp_path: Path) -> None:
    (tmp_path / "file").write_text("a file")
    made = Beginning(str(tmp_path / "file" / "house"), plans=False)
    with TestClient(made, base_url="http://localhost") as client:
        answer = client.post("/", data=US | ANSWERS)
        assert answer.status_code == 422
        assert "cannot be" in answer.text
    made.close()


@pytest.mark.parametrize(
    "sent", [{}, {"site.units": "furlongs"}, {"?": "x" * 5000}, {"site.name": ""}]
)
def test_nonsense_keeps_nothing(pages: TestClient, folder: Path, sent: dict[str, str]) -> None:
    assert pages.post("/", data=sent).status_code == 422
    assert not folder.exists()


def test_another_site_can_describe_nothing(pages: TestClient, folder: Path) -> None:
    sent = pages.post("/", data=US | ANSWERS, headers={"origin": "http://evil.example"})
    assert sent.status_code == 403
    assert not folder.exists()
