"""The reference pages are current, the commands teach, and real output is as they say."""

from __future__ import annotations

import importlib.util
import json
from pathlib import Path
from types import ModuleType
from typing import Any

import pytest
from pydantic import TypeAdapter

from command_line import COMMANDS, frosty_days, make_house, run
from house_files import ANSWERS
from sugarwright.answering.description import Checked
from sugarwright.cli.documents import Problems, Written
from sugarwright.plant.seasons import SeasonsSummary
from sugarwright.plant.summary import SeasonSummary

ROOT = Path(__file__).resolve().parents[2]


@pytest.fixture(scope="module")
def pages() -> ModuleType:
    spec = importlib.util.spec_from_file_location("pages", ROOT / "scripts/reference_pages.py")
    assert spec is not None
    assert spec.loader is not None
    module = importlib.util.module_from_spec(spec)
    spec.loader.exec_module(module)
    return module


@pytest.mark.parametrize("name", ["commands", "json", "words"])
def test_pages_are_current(pages: ModuleType, name: str) -> None:
    written = (ROOT / "docs" / "reference" / f"{name}.md").read_text(encoding="utf-8")
    assert written == getattr(pages, f"{name}_page")(), "run scripts/reference_pages.py"


def test_every_attribute_of_a_document_is_explained(pages: ModuleType) -> None:
    page = pages.json_page()
    bare = [line for line in page.splitlines() if line.startswith("| `") and line.endswith("|  |")]
    links_only = [line for line in bare if "](#" in line]  # a section of the house says it itself
    assert bare == links_only


def test_every_command_has_its_page_and_an_example(pages: ModuleType) -> None:
    described = [" ".join(words) for words in pages.command_words()]
    assert {words.split()[0] for words in described} >= set(COMMANDS)
    documented = {words.partition(" --")[0] for words in pages.DOCUMENTS}
    groups = {"finish", "weather", "learn", "ledger", "sensor"}  # which print nothing themselves
    assert documented == set(described) - groups - {"serve", "sensor listen"}  # which go on
    for words in described:
        ran = run(*words.split(), "--help")
        assert ran.code == 0
        assert f"sugarwright {words}" in ran.out.partition("Example")[2]
        assert "?" in ran.out.splitlines()[2]  # which question it answers
        assert max(map(len, ran.out.splitlines())) <= 80


def test_readme_shows_only_commands_that_are_there() -> None:
    for line in (ROOT / "README.md").read_text(encoding="utf-8").splitlines():
        if line.startswith("python3 start.py"):
            assert line.split()[2] in (*COMMANDS, "test"), line


def fits(kind: type, text: str) -> None:
    """Check a document against a dataclass, both ways: nothing missing, nothing more."""
    adapter: TypeAdapter[Any] = TypeAdapter(kind)
    again = adapter.dump_python(adapter.validate_json(text), mode="json")
    assert again == json.loads(text)


def test_documents_are_as_the_page_says(tmp_path: Path) -> None:
    flags = [word for key, text in ANSWERS.items() for word in ("--set", f"{key}={text}")]
    fits(Written, run("new", tmp_path / "new", "--json", *flags).out)
    folder = make_house(tmp_path / "house")
    (folder / "weather.csv").write_text(frosty_days(20))
    fits(Checked, run("check", folder, "--json").out)
    fits(Problems, run("check", tmp_path / "none", "--json").out)
    ran = run("simulate", folder, "--from", "2027-03-15", "--to", "2027-03-16", "--json")
    fits(SeasonSummary, ran.out)
    fits(SeasonsSummary, run("simulate", folder, "--season", "--seasons", "2", "--json").out)
