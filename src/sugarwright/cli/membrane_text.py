"""The membrane's settings as a table and a drawing, and answers to wishes in words."""

from __future__ import annotations

import math
from collections.abc import Iterator

from sugarwright.bench.clean_water import CleanWaterTest
from sugarwright.bench.membrane_report import MembraneReport
from sugarwright.cli.output import columns, wrapped
from sugarwright.saying.membrane import answer_text, flow_text, settings_table, warning_texts
from sugarwright.saying.words import valve_text
from sugarwright.units import PRESSURE, TEMPERATURE, VOLUME, show

ROWS, COLUMNS = 9, 60


def report_lines(report: MembraneReport) -> Iterator[str]:
    """Yield a report as lines of at most 80 columns."""
    system = report.units
    sap = f"{report.sap.brix:.1f} Brix sap at {show(report.sap.temperature_c, TEMPERATURE, system)}"
    pressure = show(report.exit_pressure_pa, PRESSURE, system)
    yield f"{report.house}: the membrane today"
    head = f"{sap}, {pressure} at the valve, condition {100 * report.condition_fraction:.0f} %"
    if report.sap.volume_m3:
        head += f"; {show(report.sap.volume_m3, VOLUME, system)} to work off"
    yield wrapped(head)
    if report.clean_water is not None:
        yield ""
        yield from _test_lines(report.clean_water, system)
    yield ""
    yield from (f"  {line}" for line in columns(settings_table(report), left=0))
    yield from (wrapped(text, "  ! ") for text in warning_texts(report))
    if len(report.settings) > 1:
        yield ""
        yield from _drawing(report)
    for answer in report.answers:
        yield ""
        yield wrapped(answer_text(answer, report), "> ", "  ")
    yield ""
    for text in report.cautions:
        yield wrapped(text, "! ")


def _drawing(report: MembraneReport) -> Iterator[str]:
    """Draw strength over valve flow: ``*`` a setting, ``!`` one with a warning, ``O`` an answer."""
    from sugarwright.cli.charts_canvas import PLAIN, Canvas  # one point needs no drawing
    from sugarwright.cli.charts_text import framed

    marks = [(each, "!" if each.warnings else "*") for each in report.settings]
    marks += [(each.setting, "O") for each in report.answers]
    flows = [math.log(each.concentrate_flow_m3_s) for each, _ in marks]
    strengths = [each.concentrate_brix for each, _ in marks]
    low, high = min(strengths), max(strengths)
    canvas = Canvas(COLUMNS, ROWS, PLAIN)
    for (_, mark), flow, brix in zip(marks, flows, strengths, strict=True):
        canvas.put(_share(flow, min(flows), max(flows)), _share(brix, low, high), mark)
    yield "  Brix of the concentrate"
    yield from framed(canvas, low, high)
    left = valve_text(math.exp(min(flows)), report.units)
    right = valve_text(math.exp(max(flows)), report.units)
    yield f"       +{'-' * COLUMNS}"
    yield f"        {left}{right.rjust(COLUMNS - len(left))}"
    answers = "   O what you asked for" if report.answers else ""
    yield f"        valve, each step as many times the last{answers}"


def _share(value: float, low: float, high: float) -> float:
    """Return where a value lies between two ends, 0 to 1."""
    return (value - low) / (high - low) if high > low else 0.0


def _test_lines(test: CleanWaterTest, system: str) -> Iterator[str]:
    found = f"{100 * test.condition_fraction:.0f} %"
    sure = f"{200 * test.condition_sd_fraction:.0f}"
    at_25 = flow_text(test.permeate_25_flow_m3_s, system)
    warm = show(25.0, TEMPERATURE, system)
    yield wrapped(
        f"Clean-water test: condition {found}, give or take {sure}, 19 times in 20 (gauge, jug and "
        f"thermometer). At {warm} it would have been {at_25}."
    )
    if not test.believable:
        yield wrapped(
            "That is more than a new membrane gives: another element than described, or a reading "
            "in another unit. It is not used below.",
            "! ",
        )
    else:
        yield wrapped(f'Just washed? Then write condition = "{found}" under [membrane].')
