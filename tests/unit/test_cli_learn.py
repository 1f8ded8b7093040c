"""``learn`` on a logbook: what it says, what it keeps, and that all of it can be taken back."""

from __future__ import annotations

import json
from pathlib import Path

import pytest
from pydantic import TypeAdapter

from command_line import refused, run
from pan_learning import HOUSE, first_fires, world
from sugarwright.cli.folder import house_in
from sugarwright.cli.learn_told import History, TakenBack, Told
from sugarwright.cli.learnt import house_as_learnt
from sugarwright.logbook.book import Logbook
from sugarwright.plant.house import House


def folder_with(path: Path, fires: int, described: str = "22 gal/h") -> Path:
    path.mkdir()
    (path / "sugarhouse.toml").write_text(HOUSE.replace("22 gal/h", described), encoding="utf-8")
    with Logbook.open(path) as book:
        book.add(first_fires(world(2).entries, fires))
    return path


@pytest.fixture(scope="module")
def learnt(tmp_path_factory: pytest.TempPathFactory) -> Path:
    """A house of which something was kept."""
    folder = folder_with(tmp_path_factory.mktemp("learn") / "house", 6)
    told = run("learn", folder, "--keep")
    assert told.code == 0
    assert "Kept: pan, wood" in told.out
    return folder


def fits(kind: type, text: str) -> None:
    adapter = TypeAdapter(kind)
    again = adapter.dump_python(adapter.validate_json(text), mode="json")
    assert again == json.loads(text)


def test_it_tells_what_was_learnt_and_keeps_nothing_unasked(tmp_path: Path) -> None:
    folder = folder_with(tmp_path / "house", 6)
    told = run("learn", folder)
    assert told.code == 0
    assert all(len(line) <= 80 for line in told.out.splitlines())
    for words in ("boil-off at full fire", "gal/h", "Nothing is kept", "What would teach most"):
        assert words in told.out
    assert house_as_learnt(str(folder)) == house_in(str(folder))
    document = run("learn", "all", folder, "--json")
    fits(Told, document.out)
    assert document.document["kept"] == []
    assert len(document.document["learnt"]["pan"]["boiled"]) == 6
    worths = [each["closer_money"] for each in document.document["learnt"]["next"]]
    assert all(each >= 0.0 for each in worths)
    assert max(worths) > 0.0


def test_what_was_kept_stands_behind_the_plant_and_is_said(
    learnt: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    described, stands = house_in(str(learnt)), house_as_learnt(str(learnt))
    assert stands.pan.boil_rate_m3_s != described.pan.boil_rate_m3_s
    assert stands.trees == described.trees
    assert "The pan as learnt on" in capsys.readouterr().err
    versions = run("learn", learnt, "--history")
    assert "boil-off at full fire" in versions.out
    fits(History, run("learn", learnt, "--history", "--json").out)


def test_taking_back_restores_and_stays_visible(tmp_path: Path) -> None:
    folder = folder_with(tmp_path / "house", 3)
    assert run("learn", folder, "--keep").code == 0
    first = _standing(folder)
    with Logbook.open(folder) as book:
        book.add(world(2).entries)
    assert run("learn", folder, "--keep").code == 0
    second = _standing(folder)
    assert second != first
    fits(TakenBack, run("learn", folder, "--undo", "pan", "--json").out)
    assert _standing(folder).pan == first.pan
    assert _standing(folder).fire == second.fire
    assert "wood" in run("learn", folder, "--undo").out
    assert _standing(folder) == first
    assert "taken back" in run("learn", folder, "--history").out
    while _standing(folder) != house_in(str(folder)):
        assert run("learn", folder, "--undo").code == 0
    assert "nothing that could be taken back" in refused("learn", folder, "--undo", "pan")


def _standing(folder: Path) -> House:
    return house_as_learnt(str(folder))


def test_a_figure_that_jumps_is_not_kept_unless_one_is_sure(tmp_path: Path) -> None:
    folder = folder_with(tmp_path / "house", 8, described="6 gal/h")
    told = run("learn", folder, "--keep")
    assert "Not without --sure: pan" in told.out
    assert _standing(folder).pan == house_in(str(folder)).pan
    assert "Kept: pan" in run("learn", folder, "--keep", "--sure").out
    assert _standing(folder).pan != house_in(str(folder)).pan


def test_an_empty_logbook_says_what_to_write_down(tmp_path: Path) -> None:
    folder = tmp_path / "house"
    folder.mkdir()
    (folder / "sugarhouse.toml").write_text(HOUSE, encoding="utf-8")
    told = run("learn", folder)
    assert told.code == 0
    assert "Write down when it is lit" in told.out
    assert "nothing to keep yet" in told.out
    assert not (folder / "logbook.db").exists()
    assert "Nothing was kept yet" in run("learn", folder, "--history").out


@pytest.mark.parametrize(
    ("words", "says"), [(["--undo", "kettle"], "pan, wood"), (["--undo", "trees"], "taken back")]
)
def test_refusals(learnt: Path, words: list[str], says: str) -> None:
    assert says in refused("learn", learnt, *words)


def test_help_names_what_can_be_learnt() -> None:
    told = run("learn", "--help")
    assert told.code == 0
    assert "trees" in told.out
    assert "all" in told.out
