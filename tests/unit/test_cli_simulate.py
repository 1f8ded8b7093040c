"""check and simulate on an invented house: what they print, and that it adds up."""

from __future__ import annotations

import csv
from itertools import pairwise
from pathlib import Path
from typing import Any

import pytest

from command_line import frosty_days, make_house, refused, run

GAL_M3 = 231 * 0.0254**3  # the US gallon is 231 cubic inches (NIST Handbook 44, appendix C)
KG_LB = 1 / 0.45359237  # exact (NIST Handbook 44, appendix C)


@pytest.fixture(scope="module")
def folder(tmp_path_factory: pytest.TempPathFactory) -> Path:
    folder = make_house(tmp_path_factory.mktemp("house"))
    (folder / "weather.csv").write_text(frosty_days(20))
    return folder


@pytest.fixture(scope="module")
def week(folder: Path) -> Any:
    ran = run("simulate", folder, "--from", "2027-03-12", "--to", "2027-03-18", "--json")
    assert ran.code == 0, ran
    return ran.document


class TestCheck:
    def test_says_what_was_understood(self, folder: Path) -> None:
        ran = run("check", folder)
        assert (ran.code, ran.err) == (0, "")
        assert "310 taps" in ran.out
        assert "420 gal" in ran.out
        assert max(map(len, ran.out.splitlines())) <= 80

    def test_the_document_is_in_si(self, folder: Path) -> None:
        document = run("check", folder, "--json").document
        assert document["house"]["sap_tank"]["volume_m3"] == pytest.approx(420 * GAL_M3)
        assert document["house"]["trees"]["tapped"] == "2027-02-20"
        assert document["house"]["site"]["longitude_deg"] == -71.9

    def test_metric_houses_read_metric(self, tmp_path: Path) -> None:
        metric = make_house(tmp_path / "metric", site__units="metric")
        text = run("check", metric).out
        assert "1,590 L" in text  # 420 gal
        assert " gal" not in text


class TestSimulate:
    def test_days_follow_each_other_and_add_up(self, week: Any) -> None:
        days = week["days"]
        assert len(days) == 7
        assert days[0]["begin_s"] == week["begin_s"]
        assert days[-1]["end_s"] == week["end_s"]
        assert all(a["end_s"] == b["begin_s"] for a, b in pairwise(days))
        for name, whole in week["total"].items():
            if name != "sap_brix":
                parts = sum(day["sums"][name] for day in days)
                assert parts == pytest.approx(whole, rel=1e-9, abs=1e-12), name

    def test_a_local_day_with_a_change_of_the_clock_has_23_hours(self, week: Any) -> None:
        # United States, 2027: clocks go forward on the second Sunday of March, the 14th.
        lengths_h = [(day["end_s"] - day["begin_s"]) / 3600 for day in week["days"]]
        assert lengths_h == [24, 24, 23, 24, 24, 24, 24]

    def test_air_is_that_of_the_file(self, week: Any) -> None:
        assert {day["high_c"] for day in week["days"]} == {8.0}
        assert {day["low_c"] for day in week["days"]} == {-6.0}

    def test_every_kilogram_is_somewhere(self, week: Any) -> None:
        of = week["whereabouts"]
        for what in ("water_kg", "sugar_kg"):
            came = sum(share[what] for share in of["came"])
            went = sum(share[what] for share in of["went"])
            assert came > 1.0
            assert went == pytest.approx(came, rel=1e-9)
        assert abs(of["water_error_kg"]) + abs(of["sugar_error_kg"]) < 1e-6

    def test_worth_adds_up(self, week: Any) -> None:
        assert sum(week["worth_money"].values()) == pytest.approx(week["net_money"])

    def test_sap_runs_and_syrup_is_made(self, week: Any) -> None:
        assert week["total"]["sap_m3"] > 10 * GAL_M3
        assert 0.5 < week["total"]["sap_brix"] < 4.0
        assert week["total"]["syrup_m3"] > 0.0

    def test_the_text_says_the_same_in_80_columns(self, folder: Path, week: Any) -> None:
        ran = run("simulate", folder, "--from", "2027-03-12", "--to", "2027-03-18")
        assert ran.code == 0
        lines = ran.out.splitlines()
        assert max(map(len, lines)) <= 80
        rows = [line.split() for line in lines if line[:4] in ("Fri ", "Sat ", "Sun ", "Mon ")]
        by_day = [day["sums"]["sap_m3"] / GAL_M3 for day in week["days"]]
        assert rows[0][:3] == ["Fri", "12", "Mar"]
        for row, sap_gal in zip(rows, by_day, strict=False):
            assert float(row[6].replace(",", "").replace("-", "0")) == round(sap_gal)
        syrup = next(line for line in lines if line.strip().startswith("syrup  "))
        assert syrup.split()[1] == f"{week['total']['syrup_m3'] / GAL_M3:.1f}"
        trees = next(line for line in lines if line.strip().startswith("trees"))
        shown_lb = float(trees.split()[1].replace(",", ""))
        came = {share["place"]: share["water_kg"] for share in week["whereabouts"]["came"]}
        assert shown_lb == pytest.approx(came["trees"] * KG_LB, abs=0.51)

    def test_levels_are_where_it_begins(self, folder: Path) -> None:
        ran = run(
            "simulate", folder, "--from", "2027-03-12", "--to", "2027-03-12", "--json",
            "--sap", "200 gal", "--sap-brix", "2", "--wood", "1 cord",
        )  # fmt: skip
        before = [s for s in ran.document["whereabouts"]["came"] if "sap tank" in s["place"]]
        # 200 gal of 2 Brix sap at 4 C: 1007.8 kg/m3 by ICUMSA's density polynomial (computed)
        assert before[0]["sugar_kg"] == pytest.approx(200 * GAL_M3 * 1007.8 * 0.02, rel=1e-3)

    def test_depth_on_the_stick(self, tmp_path: Path) -> None:
        folder = make_house(tmp_path / "house")
        path = folder / "sugarhouse.toml"
        box = 'shape = "box"\nlength = "50 in"\nwidth = "46.2 in"\nheight = "42 in"\n'
        text = path.read_text().replace("[tank.sap]\n", f"[tank.sap]\n{box}")
        path.write_text("\n".join(x for x in text.splitlines() if 'volume = "420' not in x))
        (folder / "weather.csv").write_text(frosty_days(20))
        ran = run(
            "simulate", folder, "--from", "2027-03-12", "--to", "2027-03-12", "--json",
            "--sap", "10 in",
        )  # fmt: skip
        before = [s for s in ran.document["whereabouts"]["came"] if "sap tank" in s["place"]]
        # 50 in x 46.2 in x 10 in = 23,100 cubic inches = 100 gal
        mass_kg = before[0]["sugar_kg"] + before[0]["water_kg"]
        assert mass_kg == pytest.approx(100 * GAL_M3 * 1007.8, rel=1e-3)
        assert "0 to 42 in" in refused("simulate", folder, "--sap", "43 in")

    def test_a_trace_is_a_table_of_every_step(self, folder: Path, tmp_path: Path) -> None:
        file = tmp_path / "trace.csv"
        words = ["--from", "2027-03-12", "--to", "2027-03-13", "--trace", str(file), "--json"]
        words += ["--stock", "150 gal", "--stock-brix", "8", "--pan-brix", "40"]
        for _ in range(2):  # an earlier trace may be replaced
            ran = run("simulate", folder, *words)
            assert ran.code == 0, ran
        with file.open(encoding="utf-8") as opened:
            rows = list(csv.DictReader(opened))
        assert len(rows) == 2 * 24 * 12
        assert rows[0]["time_utc"] == "2027-03-12T05:05:00Z"
        assert rows[0]["time_local"] == "2027-03-12 00:05"
        drawn_kg = next(s for s in ran.document["whereabouts"]["went"] if s["place"] == "syrup")
        total_kg = drawn_kg["water_kg"] + drawn_kg["sugar_kg"]
        assert float(rows[-1]["syrup_kg"]) == pytest.approx(total_kg, rel=1e-5, abs=1e-6)

    def test_a_trace_replaces_no_other_file(self, folder: Path) -> None:
        weather = folder / "weather.csv"
        before = weather.read_text()
        words = ["--from", "2027-03-12", "--to", "2027-03-12"]
        assert "no trace" in refused("simulate", folder, *words, "--trace", weather)
        assert "cannot be written" in refused("simulate", folder, *words, "--trace", folder / "a/b")
        assert weather.read_text() == before

    def test_what_to_know_is_said(self, folder: Path) -> None:
        ran = run("simulate", folder, "--from", "2027-03-02", "--to", "2027-03-02")
        assert "less than two weeks" in " ".join(ran.out.split())

    def test_a_house_without_a_membrane_reads_nothing_of_one(
        self, folder: Path, tmp_path: Path
    ) -> None:
        house = make_house(tmp_path / "h", membrane="no")
        words = ["--weather", folder / "weather.csv", "--from", "2027-03-12", "--to", "2027-03-13"]
        without = run("simulate", house, *words)
        assert without.code == 0, without
        within = run("simulate", folder, *words, "--sap", "300 gal")
        for name in ("membrane", "permeate", "washes"):
            assert name not in without.out
            assert name in within.out
