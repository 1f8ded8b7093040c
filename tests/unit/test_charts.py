"""Charts: round ticks, drawings in letters, and pictures looked at pixel by pixel."""

from __future__ import annotations

import io
import math
import re
import subprocess
import sys
import xml.etree.ElementTree as ElementTree
from pathlib import Path

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from matplotlib.colors import to_rgb
from matplotlib.image import imread

from sugarwright.cli import charts_style as style
from sugarwright.cli.charts_canvas import FINE, PLAIN, Canvas, Letters, letters_for
from sugarwright.cli.charts_data import (
    Bar,
    Bars,
    ChartData,
    Curve,
    Mark,
    Panel,
    Span,
    Spans,
    round_ticks,
    tick_text,
    time_ticks,
)
from sugarwright.cli.charts_file import check_chart_file, picture_of, write_chart
from sugarwright.cli.charts_text import COLUMNS, chart_lines
from sugarwright.errors import InputError

ZONE = "America/New_York"
MONDAY_S = 1773637200  # 2026-03-16 05:00Z by `date -d`: Monday 01:00 in New York, summer time
HOURS = [MONDAY_S + 3600 * hour for hour in range(96)]
WAVE = [32.0 + 12.0 * math.sin(hour / 24.0 * 2.0 * math.pi) for hour in range(96)]
AIR = Curve(
    "air",
    "°F",
    HOURS,
    WAVE,
    [value - 3.0 for value in WAVE],
    [value + 3.0 for value in WAVE],
    "4 of 5 weathers",
    Mark(32.0, "freezing"),
    Mark(MONDAY_S + 48 * 3600, "now"),
)
SAP = Bars("sap", "gal", (Bar("Mon 16", 100.0), Bar("Tue 17", 50.0), Bar("Wed 18", 0.0)))
LIKELY = Bars("sap", "gal", (Bar("Mon", 50.0, 25.0, 100.0), Bar("Tue", 0.0, 0.0, 0.0)), "4 of 5")
YIELDS = Spans("sap", "gal", (Span("today", 4.0, 9.0, 16.0), Span("later", 0.0, 8.0, 12.0)))
ENDS = Spans(
    "end", "", (Span("today", MONDAY_S, MONDAY_S + 864000, MONDAY_S + 1728000),), dates=True
)
MANY = Bars("sap", "gal", tuple(Bar(f"{day} Mar", float(day), 0.0, 31.0) for day in range(1, 31)))


def chart(*panels: Panel) -> ChartData:
    return ChartData("An invented bush", ZONE, panels, "Weather: invented.")


EVERYTHING = chart(AIR, SAP, LIKELY, YIELDS, ENDS, MANY)


class TestTicks:
    @given(
        st.floats(-1e6, 1e6), st.floats(1e-3, 1e6), st.integers(2, 10)
    )  # least, length, how many about
    @settings(max_examples=60, deadline=None)
    def test_they_are_round_even_and_inside(self, least: float, long: float, about: int) -> None:
        greatest = least + long
        ticks = round_ticks(least, greatest, about)
        assert len(ticks) <= about + 1
        assert all(least - 1e-6 * long <= tick <= greatest + 1e-6 * long for tick in ticks)
        for step in np.diff(ticks):
            mantissa = step / 10.0 ** math.floor(math.log10(step) + 1e-9)
            assert min(abs(mantissa - m) for m in (1.0, 2.0, 5.0, 10.0)) < 1e-3

    def test_a_range_of_nothing_has_one(self) -> None:
        assert round_ticks(3.0, 3.0, 5) == [3.0]

    def test_how_they_are_written(self) -> None:
        assert [tick_text(x) for x in (0.0, -0.0, 0.5, 20.0, 1200.0, -5.0)] == [
            "0", "0", "0.5", "20", "1,200", "-5",
        ]  # fmt: skip

    def test_days_begin_at_local_midnight_when_the_clock_changes_too(self) -> None:
        # United States, 2027: clocks go forward on 14 March, from UTC-5 to UTC-4.
        begin_s = 1805000400  # 2027-03-14 05:00Z, midnight there, by `date -d`
        ticks = time_ticks(begin_s - 86400, begin_s + 2 * 86400, ZONE, 8)
        of_day_h = {text: time_s % 86400 // 3600 for time_s, text in ticks if ":" not in text}
        assert of_day_h == {"Sat 13": 5, "Sun 14": 5, "Mon 15": 4, "Tue 16": 4}

    def test_hours_when_there_are_few(self) -> None:
        ticks = time_ticks(MONDAY_S, MONDAY_S + 86400, ZONE, 8)
        assert [text for _, text in ticks][:3] == ["03:00", "06:00", "09:00"]

    @given(st.integers(0, 400), st.integers(3, 12))
    @settings(max_examples=30, deadline=None)
    def test_never_more_than_there_is_room_for(self, days: int, most: int) -> None:
        assert len(time_ticks(MONDAY_S, MONDAY_S + days * 86400, ZONE, most)) <= most


class TestLetters:
    @pytest.mark.parametrize(
        ("encoding", "expected"),
        [("utf-8", FINE), ("ascii", PLAIN), ("cp437", PLAIN), ("latin-1", PLAIN), ("none", PLAIN)],
    )
    def test_follow_what_the_stream_can_show(
        self, encoding: str, expected: Letters, monkeypatch: pytest.MonkeyPatch
    ) -> None:
        monkeypatch.setenv("TERM", "xterm")

        class Stream(io.StringIO):
            pass

        Stream.encoding = encoding  # type: ignore[misc,assignment]
        assert letters_for(Stream()) is expected

    def test_the_bare_console_has_no_dots(self, monkeypatch: pytest.MonkeyPatch) -> None:
        monkeypatch.setenv("TERM", "linux")
        assert letters_for(io.TextIOWrapper(io.BytesIO(), "utf-8")) is PLAIN

    @pytest.mark.parametrize("letters", [FINE, PLAIN])
    def test_80_columns(self, letters: Letters) -> None:
        lines = list(chart_lines(EVERYTHING, letters))
        assert max(map(len, lines)) <= 80
        assert len(lines) > 40

    def test_plain_ones_are_ascii_but_for_units(self) -> None:
        "\n".join(chart_lines(EVERYTHING, PLAIN)).replace("°", "").encode("ascii")

    def test_dots_are_those_of_braille(self) -> None:
        # Unicode, block "Braille Patterns": dots 1, 2, 3, 7 are the left column from above.
        canvas = Canvas(1, 1, FINE)
        canvas.line([0.0, 0.49], [1.0, 0.0])
        assert canvas.lines() == ["⡇"]

    def test_a_line_is_unbroken(self) -> None:
        canvas = Canvas(40, 10, PLAIN)
        canvas.line([0.0, 0.5, 1.0], [0.0, 1.0, 0.2])
        for column in zip(*canvas.lines(), strict=True):
            rows = [row for row, letter in enumerate(column) if letter == "*"]
            assert rows == list(range(rows[0], rows[-1] + 1))

    def test_a_peak_stands_where_it_belongs(self) -> None:
        values = [0.0] * 96
        values[48] = 10.0
        lines = list(chart_lines(chart(Curve("sap", "gal", HOURS, values)), PLAIN))
        top = next(line for line in lines if "*" in line)
        assert top.index("*") - 8 == pytest.approx(48 / 95 * COLUMNS, abs=1.0)

    def test_bars_are_as_long_as_their_values(self) -> None:
        lines = list(chart_lines(chart(SAP), PLAIN))
        lengths = {
            line.split()[0]: line.count("#") for line in lines if line[2:5] in ("Mon", "Tue", "Wed")
        }
        assert lengths["Mon"] == 2 * lengths["Tue"] > 20
        assert lengths["Wed"] == 0

    def test_a_bar_shows_its_range(self) -> None:
        line = next(x for x in chart_lines(chart(LIKELY), PLAIN) if x.startswith("  Mon"))
        low, middle, high = (line.count(letter) for letter in "#=.")
        assert low == pytest.approx(middle, abs=1)
        assert high == pytest.approx(low + middle, abs=1)
        assert line.endswith("50 (25 to 100)")

    def test_ranges_share_one_scale(self) -> None:
        lines = list(chart_lines(chart(YIELDS), PLAIN))
        today, later = (next(x for x in lines if x.startswith(f"  {n}")) for n in ("today", "lat"))
        zero = later.index("|")
        scale = (today.index("| ") - zero) / 16.0
        assert today.index("O") - zero == pytest.approx(9.0 * scale, abs=1.0)
        assert later.index("O") - zero == pytest.approx(8.0 * scale, abs=1.0)

    def test_dates_are_local_ones(self) -> None:
        text = "\n".join(chart_lines(chart(ENDS), FINE))
        assert "26 Mar (16 Mar to 5 Apr)" in text

    def test_nothing_to_show_is_no_error(self) -> None:
        empty = chart(Bars("sap", "gal", ()), Spans("sap", "gal", ()))
        assert "  sap, gal" in list(chart_lines(empty, FINE))
        assert picture_of(empty, "png").startswith(b"\x89PNG")


def pixels(*panels: Panel) -> np.ndarray:
    return imread(io.BytesIO(picture_of(chart(*panels), "png")))[:, :, :3]


def of_colour(picture: np.ndarray, colour: str) -> np.ndarray:
    found: np.ndarray = np.abs(picture - np.array(to_rgb(colour))).max(axis=2) < 0.004
    return found


class TestPictures:
    def test_bars_are_as_high_as_their_values(self) -> None:
        filled = of_colour(pixels(SAP), style.FILL)
        heights = sorted(filled.sum(axis=0)[filled.any(axis=0)])
        high, half = heights[-1], heights[0]
        assert high > 80
        assert half == pytest.approx(high / 2, abs=3)  # edges of a pixel or two are another colour

    def test_a_band_is_as_wide_as_it_is(self) -> None:
        flat = [10.0] * 96
        curve = Curve("air", "°F", HOURS, flat, [5.0] * 96, [20.0] * 96, level=Mark(0.0, "zero"))
        shown = pixels(curve)
        column = shown[:, shown.shape[1] // 2 + 7]  # beside the lines of the days
        band = np.flatnonzero(of_colour(column[:, np.newaxis], style.BAND)[:, 0])
        line = np.flatnonzero(of_colour(column[:, np.newaxis], style.LINE)[:, 0])
        below, above = line.min() - band.min(), band.max() - line.max()
        assert below / above == pytest.approx(10.0 / 5.0, rel=0.1)

    def test_nothing_touches_the_edge(self) -> None:
        shown = of_colour(pixels(AIR, SAP, LIKELY, YIELDS, ENDS, MANY), style.PAPER)
        edges = np.concatenate([shown[:4].ravel(), shown[-4:].ravel(), shown[:, :4].ravel()])
        assert edges.all()
        assert shown[:, -4:].all()

    def test_words_have_the_contrast_that_readers_need(self) -> None:
        # Web Content Accessibility Guidelines 2.1 (W3C, 2018), 1.4.3: 4.5 to 1 for text.
        for colour in (style.INK, style.QUIET, style.MARK):
            assert contrast(colour, style.PAPER) >= 4.5
        # and 1.4.11: 3 to 1 for what a picture is understood by, in a grey print as well
        assert contrast(style.LINE, style.BAND) >= 3.0
        assert contrast(style.LINE, style.FILL) >= 3.0
        assert contrast(style.INK, style.FILL) >= 3.0

    @pytest.mark.parametrize("kind", ["png", "svg"])
    def test_same_chart_same_bytes(self, kind: str, monkeypatch: pytest.MonkeyPatch) -> None:
        import matplotlib as mpl

        first = picture_of(EVERYTHING, kind)
        monkeypatch.setitem(mpl.rcParams, "lines.linewidth", 9.0)  # somebody's own settings
        monkeypatch.setitem(mpl.rcParams, "svg.hashsalt", None)
        assert picture_of(EVERYTHING, kind) == first
        assert mpl.rcParams["lines.linewidth"] == 9.0

    def test_svg_is_xml_with_title_and_caption_and_no_date(self) -> None:
        text = picture_of(EVERYTHING, "svg").decode()
        root = ElementTree.fromstring(text)
        assert root.tag.endswith("svg")
        assert root[0].text == "An invented bush"
        assert "Weather: invented." in text
        assert "<dc:date>" not in text
        assert not re.search(r"20\d\d-\d\d-\d\dT", text)

    def test_the_library_that_draws_is_not_loaded_before(self) -> None:
        code = (
            "import sys; from sugarwright.cli import charts_file, charts_option, charts_text; "
            "sys.exit(any(name in sys.modules for name in ('matplotlib', 'numpy')))"
        )
        assert subprocess.run([sys.executable, "-c", code], check=False).returncode == 0


def contrast(one: str, other: str) -> float:
    """Contrast ratio of two colours (WCAG 2.1, definitions of contrast and relative luminance)."""

    def luminance(colour: str) -> float:
        linear = [
            x / 12.92 if x <= 0.03928 else ((x + 0.055) / 1.055) ** 2.4 for x in to_rgb(colour)
        ]
        return float(np.dot(linear, (0.2126, 0.7152, 0.0722)))

    dark, light = sorted((luminance(one), luminance(other)))
    return (light + 0.05) / (dark + 0.05)


class TestFiles:
    @pytest.mark.parametrize("name", ["air.png", "air.SVG"])
    def test_an_own_chart_is_replaced(self, tmp_path: Path, name: str) -> None:
        path = tmp_path / name
        write_chart(chart(AIR), "--chart", str(path))
        first = path.read_bytes()
        write_chart(chart(SAP), "--chart", str(path))
        second = path.read_bytes()
        assert first != second
        assert second.startswith(b"\x89PNG" if name.endswith("png") else b"<?xml")

    def test_another_file_is_left_alone(self, tmp_path: Path) -> None:
        path = tmp_path / "photo.png"
        path.write_bytes(b"\x89PNG of the children")
        with pytest.raises(InputError, match="left alone"):
            write_chart(chart(AIR), "--chart", str(path))
        assert path.read_bytes() == b"\x89PNG of the children"

    @pytest.mark.parametrize(
        ("name", "problem"),
        [
            ("air.jpg", "ends in .png or .svg"),
            ("air", "ends in .png or .svg"),
            ("missing/air.png", "no such folder"),
            ("x" * 300 + ".png", "cannot be written"),
        ],
    )
    def test_what_cannot_be_written_is_said_before_the_work(
        self, tmp_path: Path, name: str, problem: str
    ) -> None:
        with pytest.raises(InputError, match=problem) as caught:
            check_chart_file("--chart", str(tmp_path / name))
        assert caught.value.field == "--chart"

    def test_what_no_name_can_be_is_said(self, tmp_path: Path) -> None:
        with pytest.raises(InputError, match="cannot be written"):
            write_chart(chart(SAP), "--chart", str(tmp_path / "nul\0.png"))

    def test_a_folder_is_no_file(self, tmp_path: Path) -> None:
        (tmp_path / "air.png").mkdir()
        with pytest.raises(InputError, match="is a folder"):
            check_chart_file("--chart", str(tmp_path / "air.png"))
