"""``sugarwright now``, and the plan that starts from it, as people meet them."""

from __future__ import annotations

from pathlib import Path

import numpy as np
import pytest

from command_line import frosty_days, run
from plant_houses import GALLON_M3
from sugarwright.logbook.book import Logbook
from sugarwright.plant import layout as at
from sugarwright.weather.hours import HOUR_S, HourlyWeather
from twin_cases import BEGIN_S, HOUSE, entry, gallons, plant

AT = "2015-03-12 18:00"  # six hours after BEGIN_S, by the house's clock


@pytest.fixture
def folder(tmp_path: Path) -> Path:
    (tmp_path / "sugarhouse.toml").write_text(HOUSE, encoding="utf-8")
    return tmp_path


def keep(folder: Path, *entries: object, weather: bool = True) -> None:
    """Log entries; keep frosty hours, so that no sap runs."""
    with Logbook.open(folder) as book:
        book.add(entries)  # type: ignore[arg-type]
        if weather:
            first = BEGIN_S - 20 * 86400
            hours = np.arange(first, BEGIN_S + 6 * HOUR_S, HOUR_S)
            book.weather.keep_observed([HourlyWeather(hours, np.full(len(hours), -4.0))])


def tank(document: dict, place: str) -> dict:  # type: ignore[type-arg]
    return next(each for each in document["tanks"] if each["place"] == place)


def test_nothing_logged_is_said_and_no_certainty_made_up(folder: Path) -> None:
    text = run("now", folder, "--at", AT).out
    assert "Nothing is logged yet" in text
    assert "No weather is kept" in text
    assert "never" in text
    found = tank(run("now", folder, "--at", AT, "--json").document, "stock")
    assert found["volume_m3"]["low"] < 0.1 * found["capacity_m3"]
    assert found["volume_m3"]["high"] > 0.9 * found["capacity_m3"]
    assert not (folder / "logbook.db").exists()


def test_a_reading_is_run_forward_and_told_with_its_age(folder: Path) -> None:
    keep(folder, gallons("sap", 0, 200), gallons("stock", 1, 40))
    ran = run("now", folder, "--at", AT)
    assert "From 2 entries, the last at 13:00" in ran.out
    row = next(line for line in ran.out.splitlines() if line.strip().startswith("sap tank"))
    assert row.split()[2:4] == ["200", "gal"] or row.split()[2] in ("199", "201")
    assert row.endswith("level 6 h ago")
    assert max(map(len, ran.out.splitlines())) <= 80
    document = run("now", folder, "--at", AT, "--json").document
    found = tank(document, "sap")
    assert found["volume_m3"]["middle"] == pytest.approx(200 * GALLON_M3, rel=0.03)
    assert found["read"][0]["typed"] == "200 gal"


def test_a_log_that_was_left_alone_is_no_standing(folder: Path) -> None:
    keep(folder, gallons("sap", 0, 200))
    out = " ".join(run("now", folder, "--at", "2015-03-17 18:00").out.split())
    assert "Nothing was entered for 5 days" in out
    assert "Nothing was entered" not in run("now", folder, "--at", AT).out


def test_metric_houses_read_litres(folder: Path) -> None:
    text = HOUSE.replace("[[gathering]]", 'units = "metric"\n[[gathering]]', 1)
    (folder / "sugarhouse.toml").write_text(text, encoding="utf-8")
    keep(folder, gallons("sap", 0, 200))
    row = run("now", folder, "--at", AT).out
    assert " L" in row
    assert " gal" not in row


def test_a_questioned_reading_is_told_with_what_was_meant(folder: Path) -> None:
    keep(folder, gallons("stock", 0, 30), gallons("stock", 2, 310))
    text = " ".join(run("now", folder, "--at", AT).out.split())
    assert "stock tank 310 gal at 14:00 is questioned: the tank holds 160 gal. 31?" in text


def test_the_second_answer_is_the_kept_one_and_again_follows_anew(folder: Path) -> None:
    keep(folder, gallons("sap", 0, 200))
    first = run("now", folder, "--at", AT, "--json").document
    second = run("now", folder, "--at", AT, "--json").document
    for place in ("sap", "stock"):
        for part in ("volume_m3", "brix", "age_s"):
            assert tank(second, place)[part] == pytest.approx(tank(first, place)[part], rel=1e-4)
    assert second["telling"] == first["telling"]
    later = tank(run("now", folder, "--at", "2015-03-12 19:30", "--json").document, "sap")
    assert later["age_s"]["middle"] >= tank(first, "sap")["age_s"]["middle"]
    anew = run("now", folder, "--at", AT, "--again", "--json").document
    assert tank(anew, "sap")["volume_m3"] == tank(first, "sap")["volume_m3"]


def test_a_late_entry_of_an_earlier_time_goes_back(folder: Path) -> None:
    keep(folder, gallons("sap", 0, 200), gallons("sap", 5, 199))
    run("now", folder, "--at", AT)
    keep(folder, entry("dump", 5.5, "sap"), weather=False)
    found = tank(run("now", folder, "--at", AT, "--json").document, "sap")
    assert found["volume_m3"]["high"] < 1 * GALLON_M3
    keep(folder, gallons("stock", 0.5, 90), weather=False)  # before all but one
    document = run("now", folder, "--at", AT, "--json").document
    assert tank(document, "stock")["volume_m3"]["middle"] == pytest.approx(90 * GALLON_M3, rel=0.1)
    assert document["entries"] == 4


def test_a_plan_starts_from_the_log_and_says_so(folder: Path) -> None:
    keep(folder, gallons("sap", 0, 200), gallons("stock", 1, 40))
    (folder / "weather.csv").write_text(frosty_days(24, "2015-03-01"), encoding="utf-8")
    words = ("plan", folder, "--now", AT, "--hours", "24", "--no-keep")
    standing = run(*words, "--json").document["standing"]
    assert standing["sap_m3"] > 195 * GALLON_M3  # it thawed that afternoon
    assert standing["stock_m3"] == pytest.approx(40 * GALLON_M3, rel=0.05)
    assert standing["read_s"] == BEGIN_S
    told = run(*words, "--sap", "90 gal").out
    assert "90 of 419 gal" in told
    assert "run forward" not in told


def _membrane_off(*others: object) -> tuple[object, ...]:
    """A run of four hours that ended an hour and a half before AT, and what else was logged."""
    run_of_it = (entry("membrane_on", 0.5, "membrane"), entry("membrane_off", 4.5, "membrane"))
    levels = (gallons("sap", 0, 60), gallons("stock", 0.1, 10), gallons("permeate", 0.2, 100))
    levels = (*levels, gallons("sap", 5.5, 2))  # too little to start on again
    return (*levels, *run_of_it, *others)


@pytest.mark.parametrize(
    ("others", "said"),
    [
        ((), True),
        ((entry("rinse", 4.6, "membrane"),), False),
        ((entry("wash", 5.0, "membrane"),), False),
        ((entry("membrane_on", 5.0, "membrane"),), False),
    ],
    ids=["nothing", "rinsed", "washed", "runs again"],
)
def test_a_stop_without_a_rinse_in_the_log_is_told(
    folder: Path, others: tuple[object, ...], said: bool
) -> None:
    keep(folder, *_membrane_off(*others))
    (folder / "weather.csv").write_text(frosty_days(24, "2015-03-01"), encoding="utf-8")
    out = " ".join(run("now", folder, "--at", AT).out.split())
    assert ("not rinsed since it stopped at 16:30: rinse it, or log that it was" in out) == said
    words = ("plan", folder, "--now", AT, "--hours", "24", "--no-keep")
    told = run(*words, "--json").document
    rinses = [
        each
        for day in told["days"]
        for each in day["actions"]
        if each["kind"] == "rinse the membrane"
    ]
    assert [each["stopped_s"] for each in rinses] == [BEGIN_S + 4.5 * HOUR_S] * said
    if said:
        assert rinses[0]["rinse_m3"] > 0.0
        assert [rinses[0]["time_s"], "rinse the membrane"] in told["next_s"]


def test_a_day_that_wants_a_new_plan_says_why(folder: Path) -> None:
    def why(at: str = AT) -> str:
        out = " ".join(run("now", folder, "--at", at).out.split())
        return out.partition("Worth a new plan, `sugarwright plan`: ")[2]

    keep(folder)
    assert why() == ""  # nothing to plan from
    keep(folder, gallons("sap", 0, 200), weather=False)
    assert why() == "there is none yet."
    (folder / "weather.csv").write_text(frosty_days(24, "2015-03-01"), encoding="utf-8")
    run("plan", folder, "--now", AT, "--hours", "24")
    assert why() == ""
    keep(folder, gallons("sap", 8.9, 100), gallons("sap", 9, 100), weather=False)
    assert why("2015-03-12 21:10") == "the tanks stand otherwise than the last plan led to expect."


@pytest.mark.parametrize("at", ["2015-03-12 17:00", "2015-03-12 17:20", "2015-03-12 23:40"])
def test_a_lit_fire_short_of_feed_is_never_told_as_out(folder: Path, at: str) -> None:
    keep(folder, gallons("stock", 2.8, 3.0), entry("fire_lit", 3.0, "pan"))
    run("now", folder, "--at", "2015-03-12 17:00")  # the answer that is told as it has become
    text = " ".join(run("now", folder, "--at", at).out.replace("  ! ", "").split())
    assert "no fire" not in text
    assert "Pan: lit since 15:00, and nothing logged of it since; by the log its feed" in text
    assert "below the reserve since about 15:0" in text
    assert "look at the pan now" in text
    assert 'If it is out, log "fire out at ..."' in text
    assert "Never leave a lit pan." in text


def test_a_lit_fire_of_which_nothing_was_logged_since_yesterday_is_asked_for(folder: Path) -> None:
    keep(folder, gallons("stock", 2.8, 3.0), entry("fire_lit", 3.0, "pan"))
    text = " ".join(run("now", folder, "--at", "2015-03-13 12:00").out.split())
    assert "Pan: lit since Thu 15:00, and nothing logged of it since;" in text
    assert "taken to be out, log when it was" in text
    assert "Never leave a lit pan." not in text
    out = entry("fire_out", 6.0, "pan")
    keep(folder, out, weather=False)
    assert "Pan: no fire" in run("now", folder, "--at", "2015-03-13 12:00").out


def test_what_is_doubtful_of_a_weather_file_is_said(folder: Path) -> None:
    """Nights of 25 degrees Celsius in March are none: the file is in Fahrenheit."""
    keep(folder, gallons("sap", 0, 200), weather=False)
    first = np.datetime64("2015-02-20T00:00")
    hours = (first + np.timedelta64(hour, "h") for hour in range(24 * 24))
    rows = (f"{hour}Z,{25.0 + 10.0 * (n % 24 > 12)}" for n, hour in enumerate(hours))
    (folder / "weather.csv").write_text("time_utc,temperature_c\n" + "\n".join(rows) + "\n")
    ran = run("now", folder, "--at", AT)
    assert ran.code == 0
    assert "is the column Fahrenheit?" in " ".join(ran.err.split())


def _boiled(out_h: float, *others: object) -> tuple[object, ...]:
    """A fire lit four hours before AT on a full stock tank, let go at an hour, little feed left."""
    levels = (gallons("sap", 0, 60), gallons("stock", 0.1, 100), gallons("stock", 5.6, 4))
    again = gallons("stock", 5.7, 4)  # the second is believed even where the first is questioned
    fire = (entry("fire_lit", 2.0, "pan"), entry("fire_out", out_h, "pan"))
    return (*levels, again, *fire, *others)


def test_a_pan_that_dies_is_told_until_it_may_be_left_and_is_stayed_with(folder: Path) -> None:
    keep(folder, *_boiled(5.9))
    (folder / "weather.csv").write_text(frosty_days(24, "2015-03-01"), encoding="utf-8")
    clear_s = plant().p[at.CLEAR_S]
    died_s = BEGIN_S + 5.9 * HOUR_S + clear_s
    now = run("now", folder, "--at", AT, "--json").document["pan"]
    assert now["died_s"] == pytest.approx(died_s, abs=600.0)
    told = " ".join(run("now", folder, "--at", AT).out.split())
    assert "Pan: the fire dies down: stay until it has, about 19:0" in told
    assert "no fire" not in told
    words = ("plan", folder, "--now", AT, "--hours", "24", "--no-keep")
    plan = run(*words, "--json").document
    first = plan["days"][0]["actions"][0]
    assert (first["kind"], first["caution"]) == ("stay with the pan", "burn-down")
    assert first["leave_s"] == plan["standing"]["fire_dies_s"] == pytest.approx(died_s, abs=600.0)
    assert first["boils_off_m3"] < plant().p[at.BURN_DOWN_KG] * plant().p[at.WATER_M3_KG]
    text = " ".join(run(*words).out.split())
    assert "1 18:00 the fire dies down: no more wood; stay with the pan until it has, about" in text
    assert "pour in sap, permeate or water before the pan is bare; draw the coals" in text
    assert "the fire dies down, stay with the pan" in run(*words, "--text").out


@pytest.mark.parametrize("told", [{"--fire-on": None}, {"--pan-brix": "0"}], ids=["lit", "empty"])
def test_who_tells_otherwise_of_the_fire_is_believed(
    folder: Path, told: dict[str, str | None]
) -> None:
    keep(folder, *_boiled(5.9))
    (folder / "weather.csv").write_text(frosty_days(24, "2015-03-01"), encoding="utf-8")
    words = ("plan", folder, "--now", AT, "--hours", "24", "--no-keep", "--json")
    options = [each for pair in told.items() for each in pair if each is not None]
    assert run(*words, *options).document["standing"]["fire_dies_s"] is None


def test_of_a_fire_long_out_nothing_is_told(folder: Path) -> None:
    keep(folder, *_boiled(4.0))
    (folder / "weather.csv").write_text(frosty_days(24, "2015-03-01"), encoding="utf-8")
    pan = run("now", folder, "--at", AT, "--json").document["pan"]
    assert (pan["heat_fraction"], pan["died_s"]) == (0.0, None)
    assert "Pan: no fire" in run("now", folder, "--at", AT).out
    plan = run("plan", folder, "--now", AT, "--hours", "24", "--no-keep", "--json").document
    assert plan["standing"]["fire_dies_s"] is None
    assert "stay with the pan" not in [a["kind"] for day in plan["days"] for a in day["actions"]]
