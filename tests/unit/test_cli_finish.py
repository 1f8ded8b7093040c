"""``sugarwright finish``: what it says, what it refuses, and what it does not load."""

from __future__ import annotations

import json
import subprocess
import sys
from pathlib import Path
from typing import Any

import pytest
from pydantic import TypeAdapter

from command_line import make_house, refused, run
from sugarwright.bench.adjust import Adjustment
from sugarwright.bench.blend import Blend
from sugarwright.bench.boiling_now import BoilingNow
from sugarwright.bench.containers import Packing
from sugarwright.bench.density_law import DensityLaws
from sugarwright.bench.grade import Grade
from sugarwright.bench.is_syrup import SyrupCheck
from sugarwright.bench.sap_to_syrup import SapToSyrup

HOT = ["--hydrometer", "59 Brix", "--temperature", "211F"]
WATER = ["--thermometer", "219.4F", "--water-boils", "212F"]
EXAMPLES: list[tuple[type, list[str]]] = [
    (SyrupCheck, ["check", *HOT, *WATER]),
    (SyrupCheck, ["check", "--refractometer", "66.2", "--prism", "24C", "--law", "vermont"]),
    (BoilingNow, ["boil", "--sea-level", "30.12 inHg", "--elevation", "1200 ft"]),
    (Adjustment, ["adjust", "--volume", "6 gal", "--brix", "68.2", "--to", "66.9"]),
    (Adjustment, ["adjust", "--weight", "40 lb", "--brix", "64", "--to", "66.5", "--with", "69"]),
    (Blend, ["blend", "--drum", "40 gal 68.2", "--drum", "300 lb, 65.1 Brix", "--to", "66.9"]),
    (SapToSyrup, ["ratio", "--brix", "2.1", "--sap", "400 gal"]),
    (Grade, ["grade", "--light", "62 %"]),
    (Packing, ["pack", "--volume", "10 gal", "--temperature", "186F", "--into", "Quarts"]),
    (DensityLaws, ["law", "vermont"]),
]


@pytest.mark.parametrize(("kind", "words"), EXAMPLES)
def test_each_says_it_in_words_and_as_a_document(kind: type, words: list[str]) -> None:
    said = run("finish", *words)
    assert said.code == 0
    assert said.err == ""
    assert max(map(len, said.out.splitlines())) <= 80
    adapter: TypeAdapter[Any] = TypeAdapter(kind)
    text = run("finish", *words, "--json").out
    again = adapter.dump_python(adapter.validate_json(text), mode="json")
    assert again == json.loads(text)


def test_the_hot_test_with_a_thermometer() -> None:
    out = run("finish", "check", *HOT, *WATER).out
    assert out.startswith("It is syrup: 66.8 Brix, give or take 0.")
    assert "They agree" in out
    assert "Boiling syrup sticks" in out


def test_an_instrument_that_is_off_is_named() -> None:
    wrong = ["--thermometer", "216.4F", "--water-boils", "212F", "--refractometer", "66.8"]
    assert "The thermometer is off" in " ".join(run("finish", "check", *HOT, *wrong).out.split())


def test_a_hydrometer_read_in_baume() -> None:
    in_brix = run("finish", "check", "--json", *HOT).document["together"]["brix"]
    in_baume = run("finish", "check", "--json", "--hydrometer", "32.1 Bé", *HOT[2:])
    assert in_baume.document["together"]["brix"] == pytest.approx(in_brix, abs=0.1)


def test_metric_words_get_metric_answers() -> None:
    words = ["pack", "--volume", "40 L", "--temperature", "85C", "--into", "1l"]
    assert "L hot" in run("finish", *words).out
    assert "°F" in run("finish", *words, "--units", "us").out
    assert "°C" in run("finish", "boil", "--water-boils", "99.2 C").out.splitlines()[0]
    # one temperature in two scales is one answer
    both = [
        run("finish", "boil", "--water-boils", text, "--json").document["syrup"][0]["boiling_c"]
        for text in ("100 C", "212 F")
    ]
    assert both[0] == pytest.approx(both[1], abs=1e-9)


def test_a_folder_gives_elevation_units_and_finish(tmp_path: Path) -> None:
    folder = make_house(
        tmp_path / "house", site__elevation="1000 ft", site__units="metric", pan__finish="67.5 Brix"
    )
    boil = run("finish", "boil", folder, "--json").document
    assert boil["water"]["boiling_c"] * 1.8 + 32.0 == pytest.approx(210.13, abs=0.02)  # IAPWS-95
    assert 67.5 in [point["brix"] for point in boil["syrup"]]
    assert "°C" in run("finish", "boil", folder).out
    assert run("finish", "check", folder, *HOT, "--json").document["least_brix"] == 67.5
    assert "is not there" in refused("finish", "boil", tmp_path / "none")


def test_too_cool_to_pack_is_said() -> None:
    cool = run("finish", "pack", "--volume", "10 gal", "--temperature", "160F").out
    hot = run("finish", "pack", "--volume", "10 gal", "--temperature", "187F").out
    assert "moulds live on" in cool
    assert "moulds live on" not in hot


REFUSALS = [
    (["check"], "nothing was measured"),
    (["check", "--hydrometer", "99 Brix", "--temperature", "211F"], "0.1 Brix to 80.0 Brix"),
    (["check", "--hydrometer", "101 Brix", "--temperature", "211F"], "0 to 100 Brix"),
    (["check", "--hydrometer", "59", "--temperature", "-300F"], "23.0 °F to 230.0 °F"),
    (["check", "--hydrometer", "59", "--temperature", "-500F"], "below absolute zero"),
    (["check", "--hydrometer", "59 galons", "--temperature", "60F"], "no unit of sugar strength"),
    (["check", "--hydrometer", "", "--temperature", "60F"], "is empty"),
    (["check", "--hydrometer", "59", "--temperature", ""], "is empty"),
    (["check", "--hydrometer", "nan", "--temperature", "60F"], "--hydrometer"),
    (["check", "--hydrometer", "59"], "--temperature: is needed"),
    (["check", "--hydrometer", "79", "--temperature", "211F"], "reads so at that temperature"),
    (["check", "--hydrometer", "60 Baume", "--temperature", "60F"], "42.0 Baumé"),
    (["check", "--refractometer", "66", "--prism", "200F"], "--prism"),
    (["check", "--thermometer", "219F"], "--water-boils"),
    (["check", "--thermometer", "211F", "--water-boils", "212F"], "no hotter than water boils"),
    (["check", "--thermometer", "240F", "--water-boils", "212F"], "hotter than any syrup"),
    (["check", "--thermometer", "219", "--water-boils", "212F"], "needs a unit"),
    (["check", "--thermometer", "219F", "--barometer", "30 psi"], "--barometer"),
    (["check", *HOT, "--law", "Vermnt"], 'Did you mean "vermont"'),
    (["check", *HOT, "--law", "Vermnt"], "--law = "),
    (["check", *HOT, "--invert", "200 %"], "--invert"),
    (["check", *HOT, "--prism", "20 C"], "belongs to --refractometer"),
    (["check", "--refractometer", "66", "--temperature", "60F"], "belongs to --hydrometer"),
    (["check", *HOT, "--units", "imperial"], "us, metric"),
    (["boil"], "not known where water boils"),
    (["boil", "--sea-level", "1013 hPa"], "--elevation: is needed"),
    (["boil", "--elevation", "90000 ft"], "--elevation"),
    (["boil", "--barometer", "3 inHg"], "14.8 inHg to 31.0 inHg"),
    (["boil", "--water-boils", "100C", "--brix", "90"], "--brix"),
    (["boil", "--water-boils", "100C", "--invert", "60 %"], "--invert"),
    (["adjust", "--brix", "68", "--to", "66.9"], "--weight"),
    (["adjust", "--volume", "6 gal", "--to", "66.9"], "--brix: is needed"),
    (["adjust", "--volume", "6 gal", "--brix", "68"], "--to: is needed"),
    (["adjust", "--volume", "6 gal", "--weight", "9 lb", "--brix", "60", "--to", "66"], "beside"),
    (["adjust", "--volume", "-6 gal", "--brix", "68", "--to", "66"], "--volume"),
    (["adjust", "--volume", "6 gal", "--brix", "64", "--to", "66", "--with", "60"], "--with"),
    (["adjust", "--volume", "6 gal", "--brix", "68", "--to", "66", "--with", "67"], "--with"),
    (["blend"], "--drum: is needed"),
    (["blend", "--drum", "40 gal"], "no amount and strength"),
    (["blend", "--drum", "40 galons 66"], "--drum"),
    (["blend", "--drum", "40 gal 99"], "--drum"),
    (["blend", "--drum", "x" * 5000], "--drum"),
    (["blend", "--drum", "40 gal 68", "--to", "66"], "--to"),
    (["ratio"], "--brix: is needed"),
    (["ratio", "--brix", "2", "--to", "1"], "--sap"),
    (["ratio", "--brix", "2", "--sap", "0 gal"], "--sap"),
    (["grade"], "--light: is needed"),
    (["grade", "--light", "120 %"], "--light"),
    (["grade", "--light", "62"], "Write 62 %"),
    (["pack"], "--volume: is needed"),
    (["pack", "--volume", "10 gal", "--into", "thimble"], "--into"),
    (["pack", "--volume", "10 gal", "--loss", "90 %"], "--loss"),
    (["law", "atlantis"], "no place whose law"),
    (["law", "atlantis"], "PLACE = "),
]


@pytest.mark.parametrize(("words", "told"), REFUSALS)
def test_what_cannot_be_is_one_message(words: list[str], told: str) -> None:
    message = refused("finish", *words)
    assert told in message
    assert len(message.strip().splitlines()) == 1
    assert "_brix" not in message  # names of options, not of attributes
    assert "_c " not in message
    document = run("finish", *words, "--json")
    assert document.code == 2
    assert document.document["error"]["problem"]


def test_a_mistyped_command_gets_a_hint() -> None:
    assert "Did you mean `sugarwright finish check`" in refused("finish", "chek")


@pytest.mark.parametrize("words", [words for _, words in EXAMPLES] + [["check", *HOT, "--json"]])
def test_it_loads_nothing_heavy(words: list[str]) -> None:
    # each in a new process: what a command loads is most of what one waits for
    code = (
        "import sys\nfrom sugarwright.cli.main import app\n"
        f"try: app({['finish', *words]!r})\nexcept SystemExit: pass\n"
        "heavy = {'numpy', 'scipy', 'numba', 'pydantic', 'rich.console', 'sugarwright.plant'}\n"
        "sys.exit(', '.join(heavy & set(sys.modules)) or None)"
    )
    done = subprocess.run([sys.executable, "-c", code], capture_output=True, check=False)
    assert done.returncode == 0, done.stderr


def test_a_cup_above_its_boiling_point_is_said_to_be_superheated() -> None:
    # syrup boils some 7.5 °F above water; 228 °F is beyond any barometer, 218 °F is not
    hot = run("finish", "check", "--hydrometer", "59 Brix", "--temperature", "228F")
    assert "superheated" in hot.out
    usual = run("finish", "check", "--hydrometer", "59 Brix", "--temperature", "218F")
    assert "superheated" not in usual.out
    high = ("--water-boils", "205F")
    told = run("finish", "check", "--hydrometer", "59 Brix", "--temperature", "218F", *high)
    assert "superheated" in told.out
