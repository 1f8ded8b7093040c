"""The bench page: the same answers as the commands, told in words that stand on the page."""

from __future__ import annotations

import re
from html import unescape

import pytest
from starlette.testclient import TestClient

from command_line import run
from sugarwright.web.pages.bench_asks import ASKS


def answered(pages: TestClient, **typed: str) -> tuple[int, str]:
    """Return status and words of the answer."""
    query = {name.replace("_", "-"): text for name, text in typed.items()}
    page = pages.get("/bench", params=query)
    part = re.search(rf'data-answer="{typed["ask"]}"[^>]*>(.*?)</div>\s*<form', page.text, re.S)
    assert part is not None
    return page.status_code, " ".join(unescape(re.sub(r"<[^>]+>", " ", part[1])).split())


@pytest.mark.parametrize(
    ("typed", "command"),
    [
        (
            {"ask": "check", "hydrometer": "59", "temperature": "211", "law": "us"},
            ("check", "--hydrometer", "59 Brix", "--temperature", "211F", "--law", "us"),
        ),
        (
            {"ask": "check", "hydrometer": "32", "hydrometer_unit": "Baumé", "temperature": "205"},
            ("check", "FOLDER", "--hydrometer", "32 Baume", "--temperature", "205F"),
        ),
        (
            {"ask": "boil", "water_boils": "210.4"},
            ("boil", "FOLDER", "--water-boils", "210.4F"),
        ),
        (
            {"ask": "adjust", "volume": "40", "volume_unit": "lb", "brix": "68.2"},
            ("adjust", "FOLDER", "--weight", "40 lb", "--brix", "68.2"),
        ),
        (
            {"ask": "ratio", "sap": "400", "brix": "2,1"},
            ("ratio", "FOLDER", "--sap", "400 gal", "--brix", "2.1"),
        ),
        (
            {"ask": "pack", "volume": "10", "temperature": "186", "into": "quart", "loss": "2"},
            ("pack", "FOLDER", "--volume", "10 gal", "--temperature", "186F", "--into", "quart"),
        ),
        ({"ask": "grade", "light": "62"}, ("grade", "--light", "62 %")),
        ({"ask": "law", "place": "vermont"}, ("law", "vermont")),
    ],
)
def test_page_and_command_say_the_same(
    pages: TestClient, folder: object, typed: dict[str, str], command: tuple[str, ...]
) -> None:
    status, told = answered(pages, **typed)
    words = [str(folder) if word == "FOLDER" else word for word in command]
    head = run("finish", *words).out.splitlines()[0]
    assert status == 200
    assert told.startswith(head)


def test_drums_are_blended(pages: TestClient, folder: object) -> None:
    drums = {"amount_1": "40", "brix_1": "68.2", "amount_2": "38", "brix_2": "65.1", "to": "66.9"}
    _, told = answered(pages, ask="blend", **drums)
    words = ("--drum", "40 gal 68.2", "--drum", "38 gal 65.1", "--to", "66.9")
    assert told.startswith(run("finish", "blend", str(folder), *words).out.splitlines()[0])


@pytest.mark.parametrize(
    ("typed", "words"),
    [
        ({"ask": "check", "hydrometer": "59"}, "The temperature in its cup: is needed"),
        ({"ask": "check", "hydrometer": "99", "temperature": "60"}, "0.1 Brix to 80.0 Brix"),
        ({"ask": "check", "refractometer": "abc"}, 'The refractometer = "abc"'),
        ({"ask": "check", "prism": "70"}, "belongs to the refractometer"),
        ({"ask": "boil", "water_boils": "140"}, "179.6 °F to 218.3 °F"),
        ({"ask": "adjust", "volume": "6", "brix": "64", "with": "65"}, "is not stronger"),
        ({"ask": "blend", "amount_1": "40"}, "The strength of drum 1: is needed"),
        ({"ask": "ratio", "brix": "2"}, "The amount of sap: is needed"),
        ({"ask": "pack", "volume": "10", "into": "barrel"}, "is no container known here"),
        ({"ask": "law", "place": "nowhere"}, "no place whose law is known"),
    ],
)
def test_what_cannot_be_is_refused_in_words_of_the_page(
    pages: TestClient, typed: dict[str, str], words: str
) -> None:
    status, told = answered(pages, **typed)
    assert status == 422
    assert words in told
    assert "--" not in told


def test_the_field_that_is_wrong_is_marked_and_what_was_typed_stays(pages: TestClient) -> None:
    page = pages.get("/bench", params={"ask": "check", "hydrometer": "59"}).text
    wrong = re.findall(r'<input id="([\w-]+)"[^>]*aria-invalid', page)
    assert wrong == ["check-temperature"]
    assert (
        'name="hydrometer" inputmode="decimal" autocomplete="off" maxlength="20" value="59"' in page
    )


def test_every_number_tells_what_can_be_and_calls_the_keypad(pages: TestClient) -> None:
    page = pages.get("/bench").text
    numbers = re.findall(r'<input id="[^>]*>', page)
    typed = sum(field.choices is None for ask in ASKS for field in ask.fields)
    assert len(numbers) == typed
    assert all('inputmode="decimal"' in number for number in numbers)
    assert "Can be 180 to 218 °F." in page
    assert "Boiling syrup sticks" in page


def test_the_boil_page_s_trial_stands_here(pages: TestClient) -> None:
    pages.get("/boil", params={"water": "209.3"})
    assert (
        'name="water-boils" inputmode="decimal" autocomplete="off" maxlength="20" value="209.3"'
        in (pages.get("/bench").text)
    )


def test_a_cool_filling_is_warned_of(pages: TestClient) -> None:
    _, told = answered(pages, ask="pack", volume="5", temperature="170")
    assert "moulds live on" in told
