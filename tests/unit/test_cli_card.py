"""``sugarwright card``: its page, its document, and what it keeps."""

from __future__ import annotations

from pathlib import Path

import pytest
from pydantic import TypeAdapter

from command_line import make_house, refused, run
from sugarwright.planning.card_file import CARD_FILE, read_card
from sugarwright.planning.card_report import RuleCard
from sugarwright.planning.search import Budget


@pytest.fixture(autouse=True)
def small_search(monkeypatch: pytest.MonkeyPatch) -> None:
    """Make searches small: a poor card is printed as a good one is."""
    monkeypatch.setattr("sugarwright.planning.rule_card.USUAL", Budget(16, 1))
    monkeypatch.setattr("sugarwright.planning.search.MOST_PASSES", 0)


def test_a_card_is_printed_with_its_habit_and_kept_nowhere(tmp_path: Path) -> None:
    folder = make_house(tmp_path / "house")
    ran = run("card", folder, "--seasons", "4", "--habit")
    assert ran.code == 0
    assert all(len(line) <= 80 for line in ran.out.splitlines())
    assert "RULE CARD  Invented house" in ran.out
    assert ran.out.index("Tuned ") < ran.out.index("[habit]")
    assert [each.name for each in folder.iterdir()] == ["sugarhouse.toml"]


def test_the_document_is_as_the_page_says_and_the_card_is_kept(tmp_path: Path) -> None:
    folder = make_house(tmp_path / "house", site__units="metric")
    ran = run("card", folder, "--seasons", "4", "--seed", "3", "--keep", "--json")
    adapter = TypeAdapter(RuleCard)
    found = adapter.validate_json(ran.out)
    assert adapter.dump_python(found, mode="json") == ran.document
    assert found.seed == 3
    kept = read_card(folder)
    assert kept is not None
    assert kept.rows == found.rows
    assert (folder / CARD_FILE).exists()


def test_few_springs_are_refused(tmp_path: Path) -> None:
    folder = make_house(tmp_path / "house")
    assert "--seasons" in refused("card", folder, "--seasons", "2")
