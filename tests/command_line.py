"""The command line as tests run it, and invented folders to run it on."""

from __future__ import annotations

import json
from dataclasses import dataclass
from pathlib import Path
from typing import Any

from typer.testing import CliRunner

from house_files import ANSWERS
from sugarwright.cli.main import app
from sugarwright.plant.write_house import house_toml

COMMANDS = (
    "demo",
    "serve",
    "passphrase",
    "new",
    "check",
    "now",
    "plan",
    "card",
    "log",
    "simulate",
    "season",
    "finish",
    "membrane",
    "weather",
    "learn",
    "ledger",
    "sensor",
)


@dataclass(frozen=True)
class Ran:
    """What a command did."""

    code: int
    out: str
    err: str

    @property
    def document(self) -> Any:
        """The JSON document on stdout."""
        return json.loads(self.out)


def run(*words: str | Path, typed: str | None = None) -> Ran:
    """Run a command in this process; an error that is no message to a person fails the test."""
    done = CliRunner().invoke(
        app, [str(word) for word in words], input=typed, prog_name="sugarwright"
    )
    if done.exception is not None and not isinstance(done.exception, SystemExit):
        raise done.exception
    return Ran(done.exit_code, done.stdout, done.stderr)


def _cannot_be_broken(line: str) -> bool:
    """Tell whether a line holds something quoted, or a long path, which stay whole."""
    return '"' in line or "`" in line or max(map(len, line.split())) > 40


def refused(*words: str | Path, typed: str | None = None) -> str:
    """Run a command that must refuse: exit code 2, nothing on stdout.

    Returns the message, one line for each problem: lines broken at 80 columns are joined again.
    """
    ran = run(*words, typed=typed)
    assert ran.code == 2, ran
    assert ran.out == ""
    assert ran.err.strip()
    assert "Traceback" not in ran.err
    assert all(len(line) <= 80 or _cannot_be_broken(line) for line in ran.err.splitlines())
    return ran.err.replace("\n  ", " ")


def make_house(folder: Path, **changes: str) -> Path:
    """Write an invented house into a folder; keys with "__" for ".": ``site__units="metric"``."""
    folder.mkdir(exist_ok=True)
    answers = {**ANSWERS, **{key.replace("__", "."): text for key, text in changes.items()}}
    (folder / "sugarhouse.toml").write_text(house_toml(answers), encoding="utf-8")
    return folder


def frosty_days(days: int, first: str = "2027-03-01") -> str:
    """Return hourly weather of freezing nights and thawing days, as a file's text."""
    lines = ["time_utc,temperature_c"]
    for hour in range(24 * days):
        day, of_day = divmod(hour, 24)
        warmth = 1.0 - abs((of_day - 20) % 24 - 12) / 12.0  # coldest at 8 UTC, warmest at 20
        stamp = f"{first[:8]}{int(first[8:]) + day:02d}T{of_day:02d}:00Z"
        lines.append(f"{stamp},{8.0 - 14.0 * warmth:.2f}")
    return "\n".join(lines) + "\n"
