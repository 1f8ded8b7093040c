"""``sugarwright membrane``: what it shows, that its answers hold, what it loads and refuses."""

from __future__ import annotations

import re
import subprocess
import sys
from pathlib import Path
from typing import Any

import pytest
from pydantic import TypeAdapter

from command_line import make_house, refused, run
from sugarwright.bench.membrane_report import MembraneReport
from sugarwright.physics.solution import density_kg_m3
from sugarwright.plant.house import House
from sugarwright.plant.read_house import read_house

GAL = 3.785411784e-3
DEMO = Path(sys.modules["sugarwright"].__path__[0]) / "demo"
SAP = ("--sap", "212 gal", "--sap-brix", "2.0", "--temperature", "4 C")


@pytest.fixture(scope="module")
def house() -> House:
    return read_house(DEMO / "sugarhouse.toml")


def asked(*words: str, folder: Path = DEMO) -> Any:
    ran = run("membrane", folder, "--json", *words)
    assert ran.code == 0, ran
    return ran.document


def with_pump(folder: Path, **keys: str) -> Path:
    """Write the demo's house with more keys in its membrane into a folder."""
    text = (DEMO / "sugarhouse.toml").read_text(encoding="utf-8")
    lines = "\n".join(f'{name} = "{value}"' for name, value in keys.items())
    (folder / "sugarhouse.toml").write_text(
        re.sub(r"(?m)^\[membrane\].*$", f"[membrane]\n{lines}", text), encoding="utf-8"
    )
    return folder


def test_the_map_spans_the_valve_and_sugar_balances(house: House) -> None:
    report = asked(*SAP)
    rows = report["settings"]
    assert house.membrane is not None
    assert rows[0]["concentrate_flow_m3_s"] == house.membrane.least_flow_m3_s
    assert rows[-1]["concentrate_flow_m3_s"] == house.membrane.most_flow_m3_s
    strengths = [row["concentrate_brix"] for row in rows]
    assert strengths == sorted(strengths, reverse=True)
    for row in rows:
        fed = 2.0 * row["feed_flow_m3_s"] * density_kg_m3(2.0, 4.0)
        kept = row["concentrate_brix"] * row["concentrate_flow_m3_s"]
        kept *= density_kg_m3(row["concentrate_brix"], 4.0)
        # Rejection is above 99.5 %, and the permeate is most of the sap.
        assert 0.99 * fed < kept < fed
        # Fouling only makes it longer than the tank by the feed of the beginning.
        plain_s = report["sap"]["volume_m3"] / row["feed_flow_m3_s"]
        assert plain_s < row["duration_s"] < 1.06 * plain_s


def test_motors_draw_what_the_house_says_in_ordinary_running(house: House) -> None:
    assert house.membrane is not None
    middle = (house.membrane.least_flow_m3_s * house.membrane.most_flow_m3_s) ** 0.5
    words = ("--sap-brix", "2", "--temperature", "5 C", "--flow", f"{middle * 6e7:.6f} mL/min")
    (row,) = asked(*words)["settings"]
    assert row["power_w"] == pytest.approx(house.membrane.motor_power_w, rel=1e-4)
    assert row["current_a"] == pytest.approx(house.membrane.motor_current_a, rel=1e-4)


def test_a_strength_is_made_at_the_setting_named() -> None:
    (answer,) = asked(*SAP, "--want-brix", "4")["answers"]
    assert answer["possible"]
    flow = f"{answer['setting']['concentrate_flow_m3_s'] * 6e7:.6f} mL/min"
    (row,) = asked(*SAP, "--flow", flow)["settings"]
    assert row["concentrate_brix"] == pytest.approx(4.0, abs=1e-3)


def test_a_strength_out_of_reach_names_what_would_reach_it() -> None:
    (answer,) = asked(*SAP, "--want-brix", "8")["answers"]
    assert not answer["possible"]
    assert answer["breaks"] == "too strong"
    assert answer["setting"] == asked(*SAP)["settings"][0]
    pressure = f"{answer['pressure_pa'] / 1e3:.4f} kPa"
    reached = asked(*SAP, "--pressure", pressure)["settings"][0]
    assert reached["concentrate_brix"] == pytest.approx(8.0, abs=2e-3)
    assert answer["round_trip_s"] > 8 * 3600


def test_a_pressure_is_offered_with_what_stands_against_it(tmp_path: Path) -> None:
    far = run("membrane", DEMO, *SAP, "--want-brix", "12").out
    assert "times today's: only if the plates" in " ".join(far.split())
    weak = with_pump(tmp_path, pump_flow="60 gal/h", pump_shutoff="200 psi")
    (answer,) = asked(*SAP, "--want-brix", "12", folder=weak)["answers"]
    assert "weak pump" in answer["pressure_warnings"]
    told = run("membrane", weak, *SAP, "--want-brix", "12").out
    assert "the pump as described cannot hold that" in " ".join(told.split())


def test_a_strength_too_weak_or_beyond_any_pressure() -> None:
    (weak,) = asked(*SAP, "--want-brix", "2.5")["answers"]
    assert (weak["possible"], weak["breaks"]) == (False, "too weak")
    assert weak["pressure_pa"] < asked()["exit_pressure_pa"]
    (strong,) = asked(*SAP, "--want-brix", "38")["answers"]
    assert strong["pressure_pa"] is None
    assert "600 psi" in run("membrane", DEMO, *SAP, "--want-brix", "38").out


def test_in_step_with_the_pan(house: House) -> None:
    """What the valve lets out is what the pan takes in: water boiled and syrup drawn."""
    (answer,) = asked(*SAP, "--match-pan")["answers"]
    row = answer["setting"]
    assert answer["possible"]
    brix = row["concentrate_brix"]
    taken_kg_s = row["concentrate_flow_m3_s"] * density_kg_m3(brix, 4.0)
    boiled_kg_s = house.pan.boil_rate_m3_s * density_kg_m3(0.0, 20.0)
    syrup_kg_s = taken_kg_s * brix / house.pan.finish_brix
    assert taken_kg_s - syrup_kg_s == pytest.approx(boiled_kg_s, rel=1e-3)


@pytest.mark.parametrize(("rate", "breaks"), [("60 gal/h", "pan too fast"), ("6 gal/h", "pan too")])
def test_a_pan_that_the_valve_cannot_meet(tmp_path: Path, rate: str, breaks: str) -> None:
    text = (DEMO / "sugarhouse.toml").read_text(encoding="utf-8")
    text = text.replace('boil_rate = "24 gal/h"', f'boil_rate = "{rate}"')
    (tmp_path / "sugarhouse.toml").write_text(text, encoding="utf-8")
    (answer,) = asked(*SAP, "--match-pan", folder=tmp_path)["answers"]
    assert not answer["possible"]
    assert answer["breaks"].startswith(breaks)


def test_done_by_a_time() -> None:
    (answer,) = asked(*SAP, "--done-by", "21:00", "--now", "16:00")["answers"]
    assert answer["possible"]
    assert answer["setting"]["duration_s"] == pytest.approx(5 * 3600, rel=1e-4)
    (early,) = asked(*SAP, "--done-by", "07:00", "--now", "16:00")["answers"]  # tomorrow
    assert early["setting"] == asked(*SAP)["settings"][0]  # time for the sweetest
    assert (early["within_s"], early["tomorrow"]) == (15 * 3600, True)
    told = run("membrane", DEMO, *SAP, "--done-by", "07:00", "--now", "16:00").out
    assert "past today, so tomorrow's was taken, 15 h from now" in " ".join(told.split())
    assert "tomorrow" not in run("membrane", DEMO, *SAP, "--done-by", "9pm", "--now", "16:00").out
    (late,) = asked(*SAP, "--done-by", "18:00", "--now", "16:00")["answers"]
    assert (late["within_s"], late["tomorrow"]) == (2 * 3600, False)
    assert late["breaks"] == "too little time"
    done_m3 = 2 * 3600 * late["setting"]["feed_flow_m3_s"]
    assert late["left_m3"] == pytest.approx(212 * GAL - done_m3, rel=0.05)


def test_a_weak_pump_is_said_and_reckoned_with(tmp_path: Path) -> None:
    keys = {"pump_flow": "90 gal/h", "pump_shutoff": "150 psi"}
    rows = asked(*SAP, folder=with_pump(tmp_path, **keys))["settings"]
    free_m3_s, shutoff_pa = 90 * GAL / 3600, 150 * 6894.757
    assert "weak pump" in rows[-1]["warnings"]
    assert "weak pump" not in rows[0]["warnings"]
    # On its curve: the pump gives what the membrane takes, at the gauge plus the elements' drop.
    inlet_pa = rows[-1]["exit_pressure_pa"] + rows[-1]["element_drop_pa"]
    given = free_m3_s * (1.0 - inlet_pa / shutoff_pa) ** 0.5
    assert rows[-1]["feed_flow_m3_s"] == pytest.approx(given, rel=1e-4)


def test_limits_of_the_elements_are_warned_of(tmp_path: Path) -> None:
    still = asked(folder=with_pump(tmp_path, recirculation_flow="0 gal/min"))["settings"]
    assert "slow" in still[0]["warnings"]
    hard = asked(folder=with_pump(tmp_path, recirculation_flow="20 gal/min"))["settings"]
    assert {"pressure drop", "fast"} <= set(hard[-1]["warnings"])
    # Sap of 8 Brix at 4 °C holds its water with some 6 bar; the gauge here shows 4.
    dry = ("--sap-brix", "8", "--pressure", "4 bar")
    assert "no permeate" in asked(*dry)["settings"][0]["warnings"]
    assert "osmotic" in run("membrane", DEMO, *dry).out


def test_a_clean_water_test_sets_the_condition() -> None:
    """7.6 m² of 5 L/(m² h bar) at 5.05 bar and 10 °C: 7.6 x 5 x 0.584 x 5.05 = 112 L/h when new."""
    words = ("--clean-water-test", "90 L/h; 5 bar; 10 C")
    report = asked(*words)
    found = report["clean_water"]
    assert found["condition_fraction"] == pytest.approx(90.0 / 112.1, rel=0.02)
    assert 0.02 < found["condition_sd_fraction"] < 0.08
    assert report["condition_fraction"] == found["condition_fraction"]
    wrong = asked("--clean-water-test", "90 gal/h, 5 bar, 10 C")
    assert not wrong["clean_water"]["believable"]
    assert wrong["condition_fraction"] == pytest.approx(0.92)  # as sugarhouse.toml says


@pytest.mark.parametrize("units", ["us", "metric"])
def test_text_fits_a_narrow_terminal(tmp_path: Path, units: str) -> None:
    folder = make_house(tmp_path / "house", site__units=units)
    ran = run(
        "membrane", folder, "--sap", "300 gal", "--want-brix", "20", "--match-pan",
        "--done-by", "21:00", "--now", "16:00",
        "--clean-water-test", "20 gal/h, 80 psi, 50 F",
    )  # fmt: skip
    if "has no" in ran.err or "is not in sugarhouse.toml" in ran.err:
        pytest.fail("the invented house of the tests should have a membrane")
    assert ran.code == 0, ran
    assert max(map(len, ran.out.splitlines())) <= 80
    assert ran.out.isascii() or "°" in ran.out
    unit = "L/min" if units == "metric" else "gal/min"  # as plan, card and flow meter say it
    assert f"valve {unit}" in ran.out
    assert "High pressure" in ran.out


@pytest.mark.parametrize(
    ("words", "part"),
    [
        (("--want-brix", "99"), '--want-brix = "99"'),
        (("--want-brix", "99 Brixx"), "--want-brix"),
        (("--want-brix", "1"), "above the sap"),
        (("--temperature", "-300 F"), "--temperature"),
        (("--temperature", "-300"), "--temperature"),
        (("--temperature", ""), "empty"),
        (("--sap", "5 psi"), "--sap"),
        (("--sap", "90000 gal"), "can hold"),
        (("--sap-brix", "66"), "--sap-brix"),
        (("--sap-brix", "19"), 'Did you mean "1.9"?'),
        (("--sap-brix", "0.19"), "0.5 Brix to 8.0 Brix"),
        (("--flow", "0 gal/h"), "--flow"),
        (("--flow", "1e9 gal/h"), "--flow"),
        (("--pressure", "3000 psi"), "--pressure"),
        (("--condition", "300 %"), "--condition"),
        (("--done-by", "21:00"), "--sap"),
        (("--sap", "100 gal", "--done-by", "25:99"), "--done-by"),
        (("--sap", "100 gal", "--done-by", "21:00", "--now", "21:00"), "is now"),
        (("--clean-water-test", "20 gal/h, , 50 F"), "empty"),
        (("--clean-water-test", "20 gal/h"), "three readings"),
        (("--clean-water-test", "20 gal/h, 80 psi, 90 psi"), "--clean-water-test"),
    ],
)
def test_nonsense_is_one_message(words: tuple[str, ...], part: str) -> None:
    assert part in refused("membrane", DEMO, *words)


def test_a_house_without_a_membrane(tmp_path: Path) -> None:
    text = (DEMO / "sugarhouse.toml").read_text(encoding="utf-8")
    sections = re.split(r"(?m)^(?=\[)", text)
    gone = ("[membrane]", "[tank.stock]", "[tank.permeate]")
    text = "".join(part for part in sections if not part.startswith(gone))
    (tmp_path / "sugarhouse.toml").write_text(text, encoding="utf-8")
    assert "Add [membrane]" in refused("membrane", tmp_path)


def test_the_document_is_as_the_page_says() -> None:
    adapter: TypeAdapter[Any] = TypeAdapter(MembraneReport)
    words = (*SAP, "--want-brix", "8", "--clean-water-test", "20 gal/h, 80 psi, 50 F")
    document = asked(*words)
    assert adapter.dump_python(adapter.validate_python(document), mode="json") == document


def test_it_loads_nothing_heavy() -> None:
    code = (
        "import sys\nfrom sugarwright.cli.main import app\n"
        f"try: app(['membrane', {str(DEMO)!r}, '--want-brix', '4', '--match-pan'])\n"
        "except SystemExit: pass\n"
        "heavy = {'numpy', 'scipy', 'numba', 'pydantic', 'rich.console'}\n"
        "assert 'sugarwright.physics.membrane' in sys.modules\n"
        "sys.exit(', '.join(heavy & set(sys.modules)) or None)"
    )
    done = subprocess.run([sys.executable, "-c", code], capture_output=True, check=False)
    assert done.returncode == 0, done.stderr


def test_one_point_loads_no_drawing() -> None:
    code = (
        "import sys\nfrom sugarwright.cli.main import app\n"
        f"try: app(['membrane', {str(DEMO)!r}, '--flow', '24 gal/h'])\n"
        "except SystemExit: pass\n"
        "assert 'sugarwright.cli.membrane_text' in sys.modules\n"
        "sys.exit(', '.join(name for name in sys.modules if '.charts_' in name) or None)"
    )
    done = subprocess.run([sys.executable, "-c", code], capture_output=True, check=False)
    assert done.returncode == 0, done.stderr
