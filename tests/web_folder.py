"""The demo's invented house with two days of an invented log, and a plan: for tests of pages."""

from __future__ import annotations

from datetime import datetime
from pathlib import Path
from zoneinfo import ZoneInfo

from sugarwright.answering.folder import house_in
from sugarwright.answering.house import house_as_learnt, learnt_in
from sugarwright.answering.plan import Basis, make_plan, run_forward, weather_known
from sugarwright.answering.record import record_of
from sugarwright.logbook.book import Logbook
from sugarwright.logbook.words import understand
from sugarwright.planning.plan_store import keep_plan

DEMO = Path(__file__).parents[1] / "src" / "sugarwright" / "demo"
ZONE = ZoneInfo("America/New_York")
NOW = datetime(2026, 3, 19, 5, 10, tzinfo=ZONE)
NOW_S = NOW.timestamp()
SAID = (
    ("2026-03-18 06:00", "sap 150 gal 2.0"),
    ("2026-03-18 06:05", "stock 30 gal 6"),
    ("2026-03-18 06:06", "permeate 140 gal"),
    ("2026-03-18 06:07", "wood 2.3 cords"),
    ("2026-03-18 06:08", "gather low corner 20 gal 2.0"),
    ("2026-03-18 06:10", "pan 13 brix"),
    ("2026-03-19 05:00", "sap 212 gal 1.9"),
)


def write_house(folder: Path) -> None:
    """Put the demo's description and weather into a folder."""
    folder.mkdir(parents=True, exist_ok=True)
    for name in ("sugarhouse.toml", "weather.csv"):
        (folder / name).write_bytes((DEMO / name).read_bytes())


def write_log(folder: Path) -> None:
    """Log the invented days."""
    house = house_in(str(folder))
    with Logbook.open(folder) as book:
        for at, text in SAID:
            at_s = datetime.fromisoformat(at).replace(tzinfo=ZONE).timestamp()
            book.add(understand(text, house, at_s).entries)


def write_plan(folder: Path) -> None:
    """Plan the morning and keep the plan."""
    house, begin_s = house_as_learnt(str(folder)), int(NOW_S)
    with record_of(str(folder)) as book:
        forward = run_forward(str(folder), house, begin_s, book)
        assert forward is not None
        known = weather_known(str(folder), house, book, lambda _: begin_s).with_run(forward.run)
        learnt = learnt_in(str(folder), house, book)
        basis = Basis(house, known, forward.levels, book=book, read_s=forward.read_s, learnt=learnt)
        report, planned = make_plan(basis)
        keep_plan(book.plans, house, report, planned.state)
