"""Nonsense in every place of a house file: always a HouseFileError with key and line."""

from __future__ import annotations

import re
import tomllib
from pathlib import Path

import pytest
from hypothesis import HealthCheck, example, given, settings
from hypothesis import strategies as st

from house_files import ANSWERS, FETCHED, MINIMAL, PUMPED, spelled_out
from sugarwright.errors import HouseFileError
from sugarwright.plant.fields import spec_at
from sugarwright.plant.house import House
from sugarwright.plant.read_house import HouseProblemsError, parse_house, read_house
from sugarwright.plant.specs_words import Spans, Text
from sugarwright.plant.toml_lines import line_of_each_key

NONSENSE = (
    '"galons"',
    '"500 galons"',
    '""',
    '"-5 gal"',
    '"1e400 gal"',
    '"\\u0000"',
    '"\\u202e\\U0001F600"',
    '"' + "9" * 500 + '"',
    "nan",
    "-inf",
    "1e308",
    "-7",
    "0x" + "f" * 1500,
    "[]",
    "[[[[[]]]]]",
    '["a", 1]',
    "{}",
    "{ a = { b = 1 } }",
    "1979-05-27T07:32:00Z",
    "07:32:00",
    "'" + "x" * 300 + "'",
    '"' + "\\t" * 300 + '"',
    "[" * 60 + "]" * 60,
)
NO_TOML = (
    "true false",
    "9" * 5000,
    "[" * 3000 + "]" * 3000,
    "21 gal/h",
    '"21 gal',
    "2027-02-30",
    "",
)
"""Nonsense that ends the reading of the file."""
SPELLED = {name: spelled_out(a) for name, a in (("pump", PUMPED), ("trips", FETCHED))}


def keys_in(text: str) -> list[tuple[int, str, str]]:
    """Line index, dotted path and name of each key of a file, found by reading it as a person."""
    found, section = [], ""
    for index, line in enumerate(text.splitlines()):
        if header := re.fullmatch(r"\[+([\w.]+)\]+", line):
            section = header[1]
        elif key := re.match(r"(\w+) = ", line):
            found.append((index, f"{section}.{key[1]}", key[1]))
    return found


@pytest.mark.parametrize("file", SPELLED)
def test_the_files_say_every_key_of_the_house(file: str) -> None:
    """The fuzz below reaches all sections; only lengths of unused tank shapes are not said."""
    paths = {path for _, path, _ in keys_in(SPELLED[file])}
    sections = {path.rpartition(".")[0] for path in paths}
    assert len(paths) > 100
    assert sections >= {"site", "gathering", "gathering.tank", f"gathering.{file}", "pan", "fire"}
    assert sections >= {"tank.sap", "tank.stock", "tank.permeate", "membrane", "people", "chore"}
    assert sections >= {"electricity", "prices", "trees", "keeping", "habit"}


@pytest.mark.parametrize("nonsense", NONSENSE, ids=lambda text: text[:20])
@pytest.mark.parametrize("file", SPELLED)
def test_nonsense_in_every_key_is_told_with_key_and_line(file: str, nonsense: str) -> None:
    """The same nonsense in all keys at once: each must be among the problems, with its line."""
    places = keys_in(SPELLED[file])
    lines = SPELLED[file].splitlines()
    for index, _, name in places:
        lines[index] = f"{name} = {nonsense}"
    with pytest.raises(HouseProblemsError) as caught:
        parse_house("\n".join(lines))
    told = {(problem.place, problem.field): str(problem) for problem in caught.value.problems}
    for index, path, _ in places:
        message = told.get((f"sugarhouse.toml line {index + 1}", path))
        if message is None:
            assert is_sense(spec_at(House, path.split(".")), nonsense), (path, nonsense)
        else:
            assert message.isprintable()
            assert len(message) < 600


@pytest.mark.parametrize("nonsense", NO_TOML, ids=lambda text: text[:20])
def test_what_is_no_toml_is_told_with_key_and_line(nonsense: str) -> None:
    for index, _, name in keys_in(SPELLED["pump"]):
        lines = SPELLED["pump"].splitlines()
        lines[index] = f"{name} = {nonsense}"
        with pytest.raises(HouseFileError) as caught:
            parse_house("\n".join(lines))
        assert f"line {index + 1}: {name}" in str(caught.value)
        assert len(str(caught.value)) < 600


def is_sense(spec: object, nonsense: str) -> bool:
    """Return whether a spec's own documentation allows what is nonsense elsewhere."""
    if isinstance(spec, Text):
        return nonsense.startswith('"')
    if nonsense == "[]":
        return isinstance(spec, Spans)
    # -7 is a longitude, a latitude
    return nonsense == "-7" and getattr(spec, "least", "").endswith("deg")


@pytest.mark.parametrize("file", SPELLED)
def test_each_line_may_be_missing(file: str) -> None:
    """Without any one line the file is read or refused, never anything else."""
    lines = SPELLED[file].splitlines()
    said = [i for i, line in enumerate(lines) if line and not line.startswith("#")]
    outcomes = set()
    for i in said:
        try:
            parse_house("\n".join(lines[:i] + lines[i + 1 :]))
            outcomes.add("read")
        except HouseFileError:
            outcomes.add("refused")
    assert outcomes == {"read", "refused"}


def check_message(message: str) -> None:
    """One printable line for each problem."""
    assert message
    assert all(line.isprintable() for line in message.split("\n"))


def refused_or_read(text: str) -> None:
    try:
        parse_house(text)
    except HouseFileError as error:
        check_message(str(error))


@settings(max_examples=150, deadline=None)
@given(st.text(max_size=200))
@example("[" * 5000)
@example("a" + ".a" * 3000 + " = 1")
@example("site.name" + ".a" * 3000 + " = 1")
@example("x = " + "[" * 999 + "]" * 999)
@example("x = " + "[\n" * 5000)
@example("[a" + ".a" * 900 + "]")
@example("x = 0x" + "f" * 5000)
@example("[[tank]]\n[[tank.sap]]\n")
@example("site = 1\npan = []\ngathering = [1, 2]\npeople = {}\ntank = 'x'")
@example('"\\u0007\\n" = 1')
@example("\ufeff\ufeff")
def test_any_text(text: str) -> None:
    refused_or_read(text)


@settings(max_examples=150, deadline=None)
@given(st.data())
def test_a_few_characters_changed(data: st.DataObject) -> None:
    text = MINIMAL
    for _ in range(data.draw(st.integers(1, 4))):
        at = data.draw(st.integers(0, len(text)))
        cut = data.draw(st.integers(0, 6))
        new = data.draw(st.text(st.sampled_from('[]{}"=.,#\n\\ 19-aé\0'), max_size=4))
        text = text[:at] + new + text[at + cut :]
    refused_or_read(text)


@settings(
    max_examples=100, deadline=None, suppress_health_check=[HealthCheck.function_scoped_fixture]
)
@given(st.binary(max_size=200), st.integers(0, 300))
def test_any_bytes(tmp_path: Path, junk: bytes, at: int) -> None:
    path = tmp_path / "sugarhouse.toml"
    whole = MINIMAL.encode()
    path.write_bytes(whole[:at] + junk + whole[at:])
    try:
        read_house(path)
    except HouseFileError as error:
        check_message(str(error))


def walk(value: object, path: tuple[str | int, ...] = ()) -> list[tuple[str | int, ...]]:
    inner = value.items() if isinstance(value, dict) else ()
    if isinstance(value, list) and value and all(isinstance(item, dict) for item in value):
        inner = enumerate(value)
    return [path, *(deeper for key, item in inner for deeper in walk(item, (*path, key)))]


@pytest.mark.parametrize("text", [MINIMAL, *SPELLED.values(), spelled_out(ANSWERS)])
def test_the_line_of_every_key_says_that_key(text: str) -> None:
    lines = line_of_each_key(text)
    for path in walk(tomllib.loads(text))[1:]:
        names = [part for part in path if isinstance(part, str)]
        assert names[-1] in text.splitlines()[lines[path] - 1]
