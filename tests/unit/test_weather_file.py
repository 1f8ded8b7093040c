"""Weather tables as people and loggers write them, and what is said of unusable ones."""

from __future__ import annotations

from collections.abc import Callable
from datetime import UTC, datetime
from pathlib import Path

import numpy as np
import pytest
from hypothesis import example, given, settings
from hypothesis import strategies as st

from sugarwright.errors import InputError, RangeError, WeatherFileError
from sugarwright.weather.files import read_weather_csv, write_weather_csv
from sugarwright.weather.hours import HOUR_S, HourlyWeather

Write = Callable[..., Path]
NEW_YORK = "America/New_York"


@pytest.fixture
def write(tmp_path: Path) -> Write:
    def to_file(text: str | bytes) -> Path:
        path = tmp_path / "weather.csv"
        path.write_bytes(text if isinstance(text, bytes) else text.encode())
        return path

    return to_file


def utc(text: str) -> int:
    return int(datetime.fromisoformat(text).replace(tzinfo=UTC).timestamp())


class TestForms:
    @pytest.mark.parametrize(
        "text",
        [
            "time_utc,temperature_c\n2015-03-09 17:00,5\n2015-03-09 18:00,10\n",
            "time,temperature_f\n2015-03-09T17:00Z,41\n2015-03-09T18:00:00Z,50\n",
            "Time,Temp (F)\n2015-03-09 13:00-04:00,41\n2015-03-09 14:00-0400,50\n",
            "hour_beginning_est,temperature [°C]\n2015-03-09 12:00,5\n2015-03-09 13:00,10\n",
            "hour ending (EST),temp C\n2015-03-09 13:00,5\n2015-03-09 14:00,10\n",
            "date;hour;Temp °C\n2015-03-09;13;5,0\n2015-03-09;14;10,0\n",
            "date\ttime\tair temp degF\n3/9/2015\t1:00 PM\t41\n3/9/2015\t2:00 pm\t50\n"
            "3/13/2015\t1:00 PM\t\n",  # this row settles which figure is the month
            "year,month,day,hour,dry-bulb (C)\n2015,3,9,13,5\n2015,3,9,14,10\n",
            "timestamp (UTC-5),tempC,dewpoint temp (C)\n20150309 12:00,5,1\n20150309 1300,10,1\n",
            "\ufefftime_edt,temp_k\r\n\r\n# note\r\n2015-03-09 13:00,278.15\r\n"
            "2015-03-09 14:00,283.15\r\n",
            "latitude,longitude\n44.1,-72.5\n\ntime_gmt,temperature_2m (°C)\n"
            "2015-03-09T17:00,5.0\n2015-03-09T18:00,10.0\n",
            'time_utc,"temp, outdoors (°C)"\n"2015-03-09 17:00","5"\n"2015-03-09 18:00","+10.0"\n',
        ],
    )
    def test_the_same_two_hours(self, write: Write, text: str) -> None:
        weather = read_weather_csv(write(text), NEW_YORK)
        assert weather.time_s.tolist() == [utc("2015-03-09 17:00"), utc("2015-03-09 18:00")]
        np.testing.assert_allclose(weather.temperature_c, [5.0, 10.0], atol=1e-9)

    @pytest.mark.parametrize("encoding", ["utf-8", "utf-8-sig", "utf-16", "cp1252"])
    def test_encodings(self, write: Write, encoding: str) -> None:
        text = "time_utc,temp (°F)\n2015-03-09 17:00,32\n"
        assert read_weather_csv(write(text.encode(encoding))).temperature_c[0] == 0.0

    def test_day_first_where_a_row_shows_it(self, write: Write) -> None:
        text = "time_utc,temp_c\n12/03/2015 23:00,1\n13/03/2015 00:00,2\n"
        assert read_weather_csv(write(text)).first_s == utc("2015-03-12 23:00")

    def test_readings_within_an_hour_are_averaged(self, write: Write) -> None:
        rows = "".join(f"2015-03-09 17:{m:02d},{m}\n" for m in range(0, 60, 10))
        weather = read_weather_csv(write(f"time_utc,temp_c\n{rows}2015-03-09 18:00,30\n"))
        assert weather.temperature_c.tolist() == [25.0, 30.0]
        assert "1 hour had fewer" in " ".join(weather.notes)

    def test_other_quantities(self, write: Write) -> None:
        text = (
            "time_utc,temp_c,RH (%),pressure_hpa,wind speed (mph),wind_dir,"
            "sea level pressure (hPa)\n"
            "2015-03-09 17:00,5,50,980,10,270,1010\n2015-03-09 18:00,6,NA,981,20,280,1010\n"
        )
        weather = read_weather_csv(write(text))
        assert weather.pressure_pa is not None
        assert weather.wind_m_s is not None
        np.testing.assert_allclose(weather.pressure_pa, [98000, 98100])
        np.testing.assert_allclose(weather.wind_m_s, [4.4704, 8.9408])  # 1 mph is 0.44704 m/s
        assert weather.humidity_fraction is None
        assert "humidity has gaps" in " ".join(weather.notes)

    def test_autumn_hours_with_their_offset_are_two(self, write: Write) -> None:
        text = (
            "time,temp_c\n2015-11-01 00:00,1\n2015-11-01 01:00-04:00,2\n2015-11-01 01:00-05:00,3\n"
        )
        assert read_weather_csv(write(text), NEW_YORK).temperature_c.tolist() == [1.0, 2.0, 3.0]


BAD = [
    ("", "the file is empty", ""),
    ("# only a remark\n\n", "the file is empty", ""),
    ("time_utc,temp_c\n", "no row below", "line 1"),
    ("2015-03-09 17:00,5\n", "no column for the time", "line 1"),
    ("time_utc,dewpoint_c\n2015-03-09 17:00,5\n", "no column for the air temperature", "line 1"),
    ("time_utc,temp\n2015-03-09 17:00,5\n", "unit is not stated", "column 2"),
    ("time_utc,temp_c,temp_f\n2015-03-09 17:00,5,41\n", "several columns", "column 3"),
    ("time,temp_c\n2015-03-09 17:00,5\n", "states no time zone", "line 2, column 1"),
    ("time_utc,temp_c\nyesterday,5\n", "no time that can be read", "line 2, column 1"),
    ("time_utc,temp_c\n2015-02-30 10:00,5\n", "no time that can be read", "line 2, column 1"),
    ("time_utc,temp_c\n2015-02-20 24:00,5\n", "no time that can be read", "line 2, column 1"),
    ("date_utc,temp_c\n2015-02-20,5\n", "no time that can be read", "line 2, column 1"),
    ("time_utc,temp_c\n3/5/2015 10:00,5\n", "month first or day first", "line 2, column 1"),
    ("time_utc,temp_c\n2015-03-09 17:00,warm\n", "is no number", "line 2, column 2"),
    ("time_utc,temp_c\n2015-03-09 17:00,1_0\n", "is no number", "line 2, column 2"),
    ("time_utc,temp_c\n2015-03-09 17:00,inf\n", "is no number", "line 2, column 2"),
    ("time_utc,temp_c\n2015-03-09 17:00,-99\n", "loggers write for no reading", "line 2, column 2"),
    ("time_utc,temp_f\n2015-03-09 17:00,999\n", "loggers write for no reading", "line 2, column 2"),
    ("time_utc,temp_c\n2015-03-09 17:00,72\n", "If it is Fahrenheit", "line 2, column 2"),
    ("time_utc,temp_c\n2015-03-09 17:00,\n", "no temperature in any row", "line 2, column 2"),
    ("t_utc,time_utc,temp_c\n1,2015-03-09 17:00\n", "no temperature in any row", "line 2"),
    ("time_utc,temp_c\n2015-03-09 17:00,1\n2015-03-09 17:00,2\n", "same time as line 2", "line 3"),
    ("time_utc,temp_c\n2015-03-09 17:00,1\n2015-03-09 16:00,2\n", "is before line 2", "line 3"),
    ("time_utc,temp_c\n2015-03-09 17:00,1\n\n2015-03-09 19:00,2\n", "1 hour from 2015", "line 4"),
    ("time_utc,temp_c\n2015-03-09 17:00,1\n2015-03-09 18:00,27\n", "jumps by 26", "line 3"),
    ('time_utc,temp_c\n2015-03-09 17:00,"1\n' + "x" * 140000, "no row of a table", "line"),
    ("time_utc,temp_c\n2015-03-09 17:00+99:00,1\n", "offset from UTC that no place has", "line 2"),
    ("site,time_utc,temp_c\nA,2015-03-09 17:00,1\nB,2015-03-09 17:00,1\n", "stations: A, B", ""),
    (b"\x89PNG\r\n\x1a\n\x00\x00\x00\rIHDR", "is no text", ""),
    (b"PK\x03\x04time_utc,temp_c", "is no text", ""),
]  # fmt: skip


class TestRefusals:
    @pytest.mark.parametrize(("text", "message", "place"), BAD)
    def test_what_and_where(
        self, write: Write, text: str | bytes, message: str, place: str
    ) -> None:
        with pytest.raises(WeatherFileError) as caught:
            read_weather_csv(write(text))
        assert message in str(caught.value)
        assert "weather.csv" in str(caught.value)
        assert place in str(caught.value)

    @pytest.mark.parametrize(
        ("hour", "message"),
        [("2015-03-08 02:30", "does not exist"), ("2015-11-01 01:30", "happens twice")],
    )
    def test_changes_of_the_clock(self, write: Write, hour: str, message: str) -> None:
        # US clocks of 2015: forward on 8 March, back on 1 November, at 02:00 (Energy Policy Act).
        path = write(f"time,temp_c\n{hour},5\n")
        with pytest.raises(WeatherFileError, match=message) as caught:
            read_weather_csv(path, NEW_YORK)
        assert "line 2, column 1" in str(caught.value)
        assert "time_est" in str(caught.value)

    def test_no_such_file(self, tmp_path: Path) -> None:
        for path in (tmp_path / "none.csv", tmp_path, "bad\0name"):
            with pytest.raises(WeatherFileError):
                read_weather_csv(path)

    def test_a_file_too_large_to_be_hours(
        self, write: Write, monkeypatch: pytest.MonkeyPatch
    ) -> None:
        monkeypatch.setattr("sugarwright.weather.table.MOST_BYTES", 10)
        with pytest.raises(WeatherFileError, match="too large"):
            read_weather_csv(write("time_utc,temp_c\n2015-03-09 17:00,1\n"))

    def test_wrong_arguments(self, write: Write) -> None:
        path = write("time,temp_c\n2015-03-09 17:00,1\n")
        with pytest.raises(InputError, match="zone"):
            read_weather_csv(path, "Mars/Olympus")
        with pytest.raises(RangeError, match="fill_gaps_h"):
            read_weather_csv(path, NEW_YORK, fill_gaps_h=-1)
        with pytest.raises(WeatherFileError, match="no column of stations"):
            read_weather_csv(path, NEW_YORK, station="A")


class TestGaps:
    TEXT = "time_utc,temp_c\n2015-03-09 17:00,1\n2015-03-09 18:00,-99\n2015-03-09 20:00,7\n"

    def test_filled_only_as_far_as_allowed_and_reported(self, write: Write) -> None:
        path = write(self.TEXT)
        with pytest.raises(WeatherFileError, match="2 hours from 2015-03-09 18:00Z"):
            read_weather_csv(path, fill_gaps_h=1)
        weather = read_weather_csv(path, fill_gaps_h=2)
        np.testing.assert_allclose(weather.temperature_c, [1.0, 3.0, 5.0, 7.0])
        assert "2 hours without a reading drawn straight: 2015-03-09 18:00Z (2 h)" in weather.notes

    @pytest.mark.parametrize(
        ("until", "fix"),
        [("2015-03-09 20:00", '"--fill-gaps 2"'), ("2015-03-13 20:00", "Add the readings.")],
    )
    def test_the_option_that_draws_across_is_named(
        self, write: Write, until: str, fix: str
    ) -> None:
        """Not where a gap is longer than any that is drawn across."""
        path = write(f"time_utc,temp_c\n2015-03-09 17:00,1\n{until},7\n")
        with pytest.raises(WeatherFileError) as refused:
            read_weather_csv(path)
        assert fix in str(refused.value)
        assert ("--fill-gaps" in str(refused.value)) == ("--fill-gaps" in fix)

    def test_gaps_of_a_real_file_are_all_counted(self, newark_file: Path) -> None:
        with pytest.raises(WeatherFileError, match="the first of 18 gaps"):
            read_weather_csv(newark_file, temperature_unit="F", station="EWR")


class TestRealFiles:
    def test_whately(self, whately_2015: HourlyWeather) -> None:
        assert len(whately_2015) == 365 * 24
        assert whately_2015.first_s == utc("2015-01-01 05:00")  # midnight, Eastern Standard Time
        assert whately_2015.notes == ()
        assert whately_2015.pressure_pa is not None
        # The first line of the file: -9.36 °C, 984.7 hPa.
        assert whately_2015.temperature_c[0] == -9.36
        assert whately_2015.pressure_pa[0] == pytest.approx(98470.0)

    def test_newark(self, newark_2013: HourlyWeather) -> None:
        # The first row of EWR: 39.02 °F at 06:00 UTC on New Year's Day.
        assert newark_2013.first_s == utc("2013-01-01 06:00")
        assert newark_2013.temperature_c[0] == pytest.approx(3.9, abs=1e-9)
        assert len(newark_2013) == 8730

    def test_a_station_that_is_not_there(self, newark_file: Path) -> None:
        with pytest.raises(WeatherFileError, match='no station "BTV"; allowed: EWR'):
            read_weather_csv(newark_file, temperature_unit="F", station="BTV")

    def test_a_unit_that_is_not_stated_is_not_guessed(self, newark_file: Path) -> None:
        with pytest.raises(WeatherFileError, match="unit is not stated"):
            read_weather_csv(newark_file, station="EWR")


class TestWriting:
    def test_written_hours_come_back_the_same(
        self, tmp_path: Path, whately_2015: HourlyWeather
    ) -> None:
        path = tmp_path / "copy.csv"
        write_weather_csv(whately_2015, path)
        assert read_weather_csv(path) == whately_2015

    def test_issue_and_source_come_back(self, tmp_path: Path) -> None:
        time_s = HOUR_S * np.arange(400_000, 400_003)
        forecast = HourlyWeather(time_s, np.array([1.0, 0.1, -7.3]), source="own", issued_s=999)
        write_weather_csv(forecast, tmp_path / "forecast.csv")
        assert read_weather_csv(tmp_path / "forecast.csv") == forecast

    def test_where_nothing_can_be_written(self, tmp_path: Path) -> None:
        weather = HourlyWeather(np.array([0]), np.array([0.0]))
        with pytest.raises(WeatherFileError, match="cannot be written"):
            write_weather_csv(weather, tmp_path / "none" / "x.csv")


GOOD = (
    "# source: invented\nstation,date,time_est,temp (F),pressure_hpa\n"
    + "".join(f"A,3/{13 + h // 24}/2015,{h % 24}:00,{30 + h % 20},990\n" for h in range(30))
).encode()
PIECES = st.sampled_from(
    [b",", b"\n", b'"', b";", b"\t", b"-99", b"NA", b"\xff", b"\0", b"1e999", b"9" * 400, b"24:00",
     b"2015-03-08 02:30", b"0001-01-01 00:00", b"utc+99", b"#", b"# issued: x\n", b"PM", b"-",
     b"temp_c"]
)  # fmt: skip


class TestFuzz:
    def check(self, path: Path, content: bytes) -> None:
        path.write_bytes(content)
        said: list[str] = []
        try:
            weather = read_weather_csv(path, NEW_YORK, "F", fill_gaps_h=3)
        except InputError as error:
            said.append(str(error))
        else:
            assert np.isfinite(weather.temperature_c).all()
        assert all(path.name in text and "\n" not in text for text in said)

    @settings(max_examples=150)
    @given(content=st.binary(max_size=300))
    @example(content=b"time_utc,temp_c\n")
    def test_any_bytes(self, tmp_path_factory: pytest.TempPathFactory, content: bytes) -> None:
        self.check(tmp_path_factory.getbasetemp() / "bytes.csv", content)

    @settings(max_examples=300)
    @given(
        changes=st.lists(
            st.tuples(
                st.integers(0, len(GOOD)), st.integers(0, 12), PIECES | st.binary(max_size=4)
            ),
            min_size=1,
            max_size=4,
        )
    )
    def test_damaged_tables(
        self,
        tmp_path_factory: pytest.TempPathFactory,
        changes: list[tuple[int, int, bytes]],
    ) -> None:
        content = GOOD
        for at, cut, piece in changes:
            content = content[:at] + piece + content[at + cut :]
        self.check(tmp_path_factory.getbasetemp() / "damaged.csv", content)
