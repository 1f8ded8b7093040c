"""The membrane's page: its settings with today's sap, its readings, its wash, its condition."""

from __future__ import annotations

import re
import time
from pathlib import Path

import pytest
from starlette.testclient import TestClient

from sugarwright.answering.folder import house_in
from sugarwright.answering.membrane import membrane_learnt_in, membrane_today
from sugarwright.answering.record import record_of
from sugarwright.bench.membrane_advice import for_brix
from sugarwright.bench.membrane_machine import machine_of
from sugarwright.learning.membrane_lesson import MembraneLesson
from sugarwright.logbook.words import understand
from sugarwright.saying.wash_steps import wash_steps
from sugarwright.web.pages.membrane import membrane_today_in
from sugarwright.web.rendering import words_of
from sugarwright.web.shed import Shed
from web_folder import NOW_S
from web_reading import text_of
from web_serving import PATIENCE_S, standing_known


def known(shed: Shed, question: object) -> None:
    """Wait until a question of the worker is answered."""
    end_s = time.monotonic() + PATIENCE_S
    while time.monotonic() < end_s:
        found = shed.worked_out(question)  # type: ignore[arg-type]
        assert not found.problem
        if not found.behind:
            return
        time.sleep(0.05)
    pytest.fail("the worker did not answer")


def test_until_it_is_worked_out_it_says_so(pages: TestClient) -> None:
    assert "It is being worked out from your log." in text_of(pages.get("/membrane").text)


def test_settings_stand_there_with_that_of_the_plan_and_of_the_pan(
    pages: TestClient, shed: Shed
) -> None:
    known(shed, membrane_today_in)
    told = text_of(pages.get("/membrane").text)
    found = shed.worked_out(membrane_today_in).value
    assert found is not None
    assert (
        f"As it was set last {found.as_set.concentrate_flow_m3_s * 6e4 / 3.785412:.2f} gal/min"
        in told
    )
    assert "In step with the pan at full fire" in told
    assert f"{found.report.sap.brix:.1f} Brix sap" in told
    for each in found.planned:
        assert words_of(shed).clock(each.time_s) in told


def test_the_setting_for_a_strength_is_that_of_the_command(pages: TestClient, shed: Shed) -> None:
    known(shed, membrane_today_in)
    today = shed.worked_out(membrane_today_in).value
    assert today is not None
    house, report = shed.house(), today.report
    assert house.membrane is not None
    machine = machine_of(house, report.condition_fraction / house.membrane.condition_fraction)
    assert machine is not None
    flow_m3_s = for_brix(machine, report.sap, 4.0).setting.concentrate_flow_m3_s
    told = text_of(pages.get("/membrane?brix=4").text)
    assert f"For 4.0 Brix: valve at {flow_m3_s * 6e4 / 3.785412:.2f} gal/min" in told


@pytest.mark.parametrize("typed", ["1", "90", "x", "-4 Brix"])
def test_a_strength_that_cannot_be_is_refused(pages: TestClient, shed: Shed, typed: str) -> None:
    known(shed, membrane_today_in)
    answer = pages.get("/membrane", params={"brix": typed})
    assert answer.status_code == 422
    assert "brix" in text_of(answer.text).lower()
    assert not re.search(r"\d\.\d{3}", text_of(answer.text))  # rounded as anybody can read


def test_sap_without_a_read_strength_is_taken_as_described(folder: Path, shed: Shed) -> None:
    import dataclasses

    standing_known(shed)
    standing = shed.standing().value
    assert standing is not None
    bare = [dataclasses.replace(each, read=()) for each in standing.tanks]
    found = membrane_today(shed.house(), dataclasses.replace(standing, tanks=tuple(bare)), None)
    assert not found.sap_known
    assert found.report.sap.brix == shed.house().trees.sap_brix
    assert found.planned == ()


def test_several_readings_make_one_entry(pages: TestClient, folder: Path) -> None:
    page = pages.get("/membrane").text
    key = re.search(r'name="key" value="(\w+)"', page)
    assert key is not None
    befores = re.findall(r'name="before" value="(\w*)"', page)
    units = re.findall(
        r'name="before" value="\w*"><input type="hidden" name="unit" value="([^"]+)"', page
    )
    assert len(befores) == len(units) == 6
    answer = pages.post(
        "/log",
        data={
            "key": key[1], "words": "running", "back": "/membrane", "before": befores,
            "unit": units, "number": ["38", "118", "", "22.5", "2.1", "8.4"],
        },
    )  # fmt: skip
    assert answer.url.path == "/membrane"
    with record_of(str(folder)) as book:
        entry = book.entries()[-1]
    assert (entry.kind, entry.place) == ("reading", "membrane")
    assert entry.value("concentrate_flow") is None
    assert entry.value("permeate_flow") == pytest.approx(22.5 * 3.785412e-3 / 3600.0)
    assert (entry.value("feed_brix"), entry.value("concentrate_brix")) == (2.1, 8.4)


def test_without_readings_it_says_which_to_take(pages: TestClient, shed: Shed) -> None:
    from sugarwright.web.pages.membrane import membrane_learnt_in as question

    known(shed, question)
    assert "No reading says yet how it does" in text_of(pages.get("/membrane").text)


@pytest.fixture
def lesson(folder: Path) -> MembraneLesson:
    house = house_in(str(folder))
    with record_of(str(folder)) as book:
        for day in range(4, 0, -1):
            base = NOW_S - day * 86400.0
            for hours, text in (
                (0.0, "membrane on 14 gal/h"),
                (0.5, "running 38F 120psi 14gal/h 18gal/h feed 2.0 Brix"),
                (4.0, "membrane off"),
                (4.5, "wash 60 gal"),
            ):
                book.add(understand(text, house, base + hours * 3600.0).entries)
    found = membrane_learnt_in(str(folder), NOW_S)
    assert found is not None
    return found


def test_course_and_readings_of_a_lesson(lesson: MembraneLesson) -> None:
    assert len(lesson.measured) == lesson.readings == 4
    for each in lesson.measured:
        share = each.condition_fraction
        assert share.low < share.middle < share.high
    assert lesson.course[-1].condition_fraction == pytest.approx(
        lesson.now_fraction.middle, rel=1e-6
    )
    times = [each.at_s for each in lesson.course]
    assert times == sorted(times)
    wash = lesson.cleanings[0]
    after = next(each for each in lesson.course if each.at_s == wash.at_s)
    assert after.condition_fraction in (
        pytest.approx(wash.before_fraction), pytest.approx(wash.after_fraction),
    )  # fmt: skip


def test_the_page_draws_the_course_with_a_table_behind_it(
    lesson: MembraneLesson, pages: TestClient, shed: Shed
) -> None:
    known(shed, membrane_learnt_in)
    page = pages.get("/membrane").text
    drawing = page.partition('class="drawing course"')[2].partition("</svg>")[0]
    assert drawing.count('class="sign full"') == 4  # the washes
    assert drawing.count("<circle") == 4  # the readings
    assert page.count("<td>reading</td>") == 4
    assert page.count("<td>wash</td>") == 4


def test_the_wash_begins_without_pressure_and_ends_neutral(shed: Shed) -> None:
    membrane = shed.house().membrane
    assert membrane is not None
    steps = wash_steps(membrane, 0.5 * membrane.wash_volume_m3, words_of(shed))
    assert "pressure go" in steps[0].does
    cautions = " ".join(each.caution for each in steps)
    assert "Never mix alkaline, acid and chlorine" in cautions
    assert "No sap goes through before" in cautions
    assert "too little" in steps[1].says
    enough = wash_steps(membrane, membrane.wash_volume_m3, words_of(shed))
    assert "too little" not in enough[1].says
    assert sum(each.timer_s or 0.0 for each in steps) == pytest.approx(membrane.wash_duration_s)


def test_a_house_without_a_membrane_says_so(pages: TestClient, folder: Path) -> None:
    path = folder / "sugarhouse.toml"
    text = path.read_text()
    for section in ("membrane", "tank.stock", "tank.permeate"):
        text = re.sub(rf"(?ms)^\[{re.escape(section)}\].*?(?=^\[|\Z)", "", text)
    path.write_text(text)
    answer = pages.get("/membrane")
    assert "described without a membrane" in text_of(answer.text)
