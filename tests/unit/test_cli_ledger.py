"""``sugarwright ledger``: what it says, and what it refuses."""

from __future__ import annotations

from pathlib import Path

import pytest

from command_line import refused, run
from ledger_seasons import TOML, changed, entry, season
from sugarwright.logbook.book import Logbook


@pytest.fixture
def folder(tmp_path: Path) -> Path:
    """A house whose logbook has one gathering with its decimal point in the wrong place."""
    (tmp_path / "sugarhouse.toml").write_text(TOML, encoding="utf-8")
    old = entry("gather", "gathering:north", 4)
    measure = old.measure("volume")
    assert measure is not None
    text = f"{float(measure.typed.split()[0]) * 10:.1f} gal"
    with Logbook.open(tmp_path) as book:
        book.add(changed(old.key, "volume", measure.value * 10.0, text))
    return tmp_path


def test_it_names_the_slip_and_the_words_that_correct_it(folder: Path) -> None:
    said = run("ledger", folder).out
    key = entry("gather", "gathering:north", 4).key
    assert "the decimal point slipped" in said
    assert f"log correct {key[:6]}" in said
    assert "all that came" in said
    assert all(len(line) <= 80 or "`" in line for line in said.splitlines())


def test_the_document_holds_the_same(folder: Path) -> None:
    document = run("ledger", folder, "--json").document
    assert document["doubts"][0]["suspects"][0]["slip"]["kind"] == "decimal point"
    came = sum(each["sugar_kg"] for each in document["account"]["came"])
    went = sum(each["sugar_kg"] for each in document["account"]["went"])
    assert came == pytest.approx(went, rel=1e-9)
    assert len(document["periods"]) > 20


def test_a_span_of_days(folder: Path) -> None:
    document = run(
        "ledger", folder, "--from", "2027-03-04", "--to", "2027-03-05", "--json"
    ).document
    assert 0 < document["entries"] < len(season()) / 3


def test_a_folder_without_a_logbook_is_told_what_it_lacks(tmp_path: Path) -> None:
    (tmp_path / "sugarhouse.toml").write_text(TOML, encoding="utf-8")
    assert "too little" in run("ledger", tmp_path).out
    assert not (tmp_path / "logbook.db").exists()


def test_a_season_of_totals_alone_is_led_to_its_claim(tmp_path: Path) -> None:
    (tmp_path / "sugarhouse.toml").write_text(TOML, encoding="utf-8")
    table = tmp_path / "totals.csv"
    table.write_text(
        "time,what\n2026-03-10 18:00,bought 300 gal 1.8\n2026-03-11 18:00,bought 100 gal 2.2\n"
        "2026-03-12 18:00,syrup 9 gal\n",
        encoding="utf-8",
    )
    assert run("log", "import", table, tmp_path).code == 0
    out = " ".join(run("ledger", tmp_path).out.split())
    assert 'ledger claim "400 gal at 1.9 Brix made 9.0 gal"' in out
    early = " ".join(run("ledger", tmp_path, "--from", "2026-03-11").out.split())
    assert 'ledger claim "100 gal at 2.2 Brix made 9.0 gal"' in early


def test_what_it_refuses(folder: Path) -> None:
    assert "is no day" in refused("ledger", folder, "--from", "yesterdayish")
    assert "is before" in refused("ledger", folder, "--from", "2027-03-09", "--to", "2027-03-01")
    assert "two volumes" in refused("ledger", "claim", "much sap made much syrup")
    assert "--brix" in refused("ledger", "claim", "--sap", "420 gal")


def test_a_claim_that_closes() -> None:
    words = "420 gal of sap at 1.9 Brix made 9.5 gal of syrup, 40 to 1"
    document = run("ledger", "claim", words, "--json").document
    assert document["closes"]
    # By hand: 420 / 9.5 = 44.21; 40 is 9.5 % less.
    assert document["said_ratio"] == pytest.approx(44.21, abs=0.005)
    assert document["told_ratio_off_fraction"] == pytest.approx(-0.0952, abs=2e-4)
    assert "It closes" in run("ledger", "claim", words).out


@pytest.mark.parametrize(
    "words", ["420 gal at 1.9 made 9.5 gal, 40 to 1", "420 gal sap 1.9, 9.5 gal 66 40:1"]
)
def test_a_bare_number_of_a_claim_is_a_strength(words: str) -> None:
    out = run("ledger", "claim", words).out
    assert "420 gal of sap at 1.9 Brix holds 67.0 lb of sugar; 9.5 gal of syrup at 66 Brix" in (
        " ".join(out.split())
    )


def test_numbers_of_a_claim_that_could_be_anything_are_asked_about() -> None:
    assert "needs the strength" in refused("ledger", "claim", "420 gal 3 made 9.5 gal 2")


def test_a_claim_that_does_not_close_says_what_would_have_to_move() -> None:
    """By hand: densities 1.0060 and 1.3224 at 20 °C; 33.80 kg of sugar came, 26.18 kg are there."""
    words = "1600 L of sap at 2.1 Brix made 30 L of syrup at 66 Brix"
    document = run("ledger", "claim", words, "--json").document
    assert not document["closes"]
    assert document["lost_fraction"] == pytest.approx(1.0 - 26.18 / 33.80, abs=2e-3)
    syrup = next(each for each in document["moves"] if each["figure"] == "syrup")
    assert syrup["needed"] == pytest.approx(0.030 * 33.80 / 26.18, rel=2e-3)
    assert "its Brix: not 2.1 Brix but" in run("ledger", "claim", words).out
