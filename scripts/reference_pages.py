"""Remake the reference pages that come from the program itself.

    python scripts/reference_pages.py

docs/reference/commands.md holds the help of every command; docs/reference/json.md the documents
that ``--json`` prints, from the dataclasses that they are made of; docs/reference/words.md what
``sugarwright log`` understands. A test fails when they are old.
"""

from __future__ import annotations

import dataclasses
import inspect
import re
from collections.abc import Iterator
from pathlib import Path
from types import UnionType
from typing import Any, get_args, get_type_hints

import typer
from typer.testing import CliRunner

from sugarwright.answering.description import Checked
from sugarwright.bench.adjust import Adjustment
from sugarwright.bench.blend import Blend
from sugarwright.bench.boiling_now import BoilingNow
from sugarwright.bench.containers import Packing
from sugarwright.bench.density_law import DensityLaws
from sugarwright.bench.grade import Grade
from sugarwright.bench.is_syrup import SyrupCheck
from sugarwright.bench.membrane_report import MembraneReport
from sugarwright.bench.sap_to_syrup import SapToSyrup
from sugarwright.cli.documents import PassphraseSet, Problems, Written
from sugarwright.cli.learn_told import History, TakenBack, Told
from sugarwright.cli.log_keeping import BackedUp, PutBack
from sugarwright.cli.main import app
from sugarwright.cli.sensor_document import SensorList, SensorRemoved, SensorShown, SensorToken
from sugarwright.learning.house import TreesLearnt
from sugarwright.learning.membrane_lesson import MembraneLearnt
from sugarwright.ledger.claim import Claim
from sugarwright.ledger.season_ledger import SeasonLedger
from sugarwright.logbook.checking import Soundness
from sugarwright.logbook.exporting import Exported
from sugarwright.logbook.forms import FORMS, Form
from sugarwright.logbook.lines import Book, Logged, Undone
from sugarwright.logbook.taking import TakenIn
from sugarwright.planning.card_report import RuleCard
from sugarwright.planning.explanation import Explanation
from sugarwright.planning.missed import Missed
from sugarwright.planning.report import PlanReport
from sugarwright.planning.season_report import SeasonOutlook
from sugarwright.planning.weather_skill import SkillReport
from sugarwright.planning.what_if import WhatIf
from sugarwright.plant.seasons import SeasonsSummary
from sugarwright.plant.summary import SeasonSummary
from sugarwright.twin.report import NowReport
from sugarwright.weather.outlook import WeatherOutlook
from sugarwright.weather.services.catalogue import Fetched
from sugarwright.weather.taking_in import Imported

PAGES = Path(__file__).resolve().parent.parent / "docs" / "reference"
DOCUMENTS: dict[str, type] = {
    "sensor add": SensorToken,
    "sensor token": SensorToken,
    "sensor remove": SensorRemoved,
    "sensor list": SensorList,
    "sensor show": SensorShown,
    "new": Written,
    "passphrase": PassphraseSet,
    "check": Checked,
    "now": NowReport,
    "plan": PlanReport,
    "plan --if": WhatIf,
    "plan --missed": Missed,
    "plan --explain": Explanation,
    "card": RuleCard,
    "log": Logged,
    "log show": Book,
    "log correct": Logged,
    "log undo": Undone,
    "log import": TakenIn,
    "log export": Exported,
    "log paper": Exported,
    "log check": Soundness,
    "log backup": BackedUp,
    "log restore": PutBack,
    "demo": PlanReport,
    "simulate": SeasonSummary,
    "weather skill": SkillReport,
    "simulate --season": SeasonsSummary,
    "season": SeasonOutlook,
    "membrane": MembraneReport,
    "weather fetch": Fetched,
    "weather import": Imported,
    "weather show": WeatherOutlook,
    "learn trees": TreesLearnt,
    "learn all": Told,
    "learn all --undo": TakenBack,
    "learn all --history": History,
    "learn membrane": MembraneLearnt,
    "ledger season": SeasonLedger,
    "ledger claim": Claim,
    "finish check": SyrupCheck,
    "finish boil": BoilingNow,
    "finish adjust": Adjustment,
    "finish blend": Blend,
    "finish ratio": SapToSyrup,
    "finish grade": Grade,
    "finish pack": Packing,
    "finish law": DensityLaws,
}
"""Command (with the option that changes it) -> what it prints with ``--json``."""
COMMANDS_HEAD = """\
# Commands

Made from the program by `python scripts/reference_pages.py`. Exit codes: 0 done; 2 something given
cannot be used, and one message on stderr says what, where and what to do; 130 stopped with Ctrl-C.
"""
JSON_HEAD = """\
# JSON

Each command prints one JSON document with `--json`. Made from the program by
`python scripts/reference_pages.py`.

Values are in SI units, and the unit ends the name: `_m3` cubic metres (`wood_m3`: stacked), `_s`
seconds or, for instants, UTC seconds since 1970, `_c` degrees Celsius, `_kg`, `_j` joules, `_pa`,
`_fraction` 0 to 1, `_money` the house's own currency. `brix` is percent sugar by mass. A value that
may be missing is `null`. A document names the time zone, units and currency in which its house
wants to read it.
"""


WORDS_HEAD = """\
# Words of the logbook

What `sugarwright log` understands: every form of words, made from the parser's own table by
`python scripts/reference_pages.py`. [The page of the logbook](../log.md) says how they are used.

Any of these words may begin a line. Behind them, in any order: the values that the form takes,
flags, who, when, and last of all `note` with anything behind it. NAME is a gathering of yours.

| begins with | means | takes | for example |
|---|---|---|---|
"""
_PLACES = {"gathering": " NAME", "gathering?": " [NAME]", "tank": " TANK", "tanks": " TANK TANK"}


def words_page() -> str:
    """Return the page of all forms of words."""
    return WORDS_HEAD + "".join(f"{_words_row(form)}\n" for form in FORMS)


def _words_row(form: Form) -> str:
    heads = ", ".join(f"`{head}`" for head in form.heads) + _PLACES.get(form.asks, "")
    takes = ", ".join(each.replace("_", " ") for each in form.quantities)
    return f"| {heads} | {form.what} | {takes} | `{form.example}` |"


def commands_page() -> str:
    """Return the page of all commands."""
    parts = [COMMANDS_HEAD]
    for words in [[], *command_words()]:
        shown = CliRunner().invoke(app, [*words, "--help"], prog_name="sugarwright").output
        parts.append(f"## `{' '.join(['sugarwright', *words])}`\n\n```text\n{shown.strip()}\n```\n")
    return "\n".join(parts)


def command_words() -> Iterator[list[str]]:
    """Yield the words of each command, those of a group after the group itself."""
    group: Any = typer.main.get_command(app)
    for name in group.list_commands(None):
        yield [name]
        inner = group.get_command(None, name)
        for below in inner.list_commands(None) if hasattr(inner, "list_commands") else ():
            yield [name, below]


def json_page() -> str:
    """Return the page of all JSON documents."""
    lines = [JSON_HEAD, "| command | document |", "|---|---|"]
    lines += [f"| `{name}` | {_link(kind)} |" for name, kind in DOCUMENTS.items()]
    lines += [f"| any, with exit code 2 | {_link(Problems)} |", ""]
    told: list[type] = []
    for kind in [*DOCUMENTS.values(), Problems]:
        _collect(kind, told)
    for kind in told:
        lines += [f"## {kind.__name__}", "", _first_line(kind), ""]
        lines += ["| name | type | what |", "|---|---|---|"]
        lines += [*_rows(kind), ""]
    return "\n".join(lines)


def _link(kind: type) -> str:
    return f"[{kind.__name__}](#{kind.__name__.lower()})"


def _first_line(kind: type) -> str:
    return (inspect.getdoc(kind) or "").splitlines()[0]


def _collect(kind: type, told: list[type]) -> None:
    """Add a dataclass and all that it is made of, each once, outer ones first."""
    if kind in told:
        return
    told.append(kind)
    for hint in get_type_hints(kind).values():
        for part in _parts(hint):
            _collect(part, told)


def _parts(hint: Any) -> Iterator[type]:
    if dataclasses.is_dataclass(hint) and isinstance(hint, type):
        yield hint
    for inner in get_args(hint):
        yield from _parts(inner)


def _rows(kind: type) -> Iterator[str]:
    meanings = _meanings(kind)
    hints = get_type_hints(kind)
    for field in dataclasses.fields(kind):
        spec = field.metadata.get("spec")
        meaning = spec.help if spec is not None else meanings.get(field.name, "")
        yield f"| `{field.name}` | {_type(hints[field.name])} | {meaning.replace('|', '/')} |"


def _type(hint: Any) -> str:
    """Return a type in JSON's words."""
    words = {float: "number", int: "whole number", str: "text", bool: "true or false"}
    if hint in words:
        return words[hint]
    if dataclasses.is_dataclass(hint) and isinstance(hint, type):
        return _link(hint)
    inner = get_args(hint)
    if type(None) in inner:
        return f"{_type(inner[0])} or null"
    if isinstance(hint, UnionType):
        return " or ".join(map(_type, inner))
    if inner and hint.__origin__ is dict:
        return f"object of {_type(inner[1])}s by name"
    if inner and inner[-1] is ...:
        return f"list of {_type(inner[0])}"
    if inner:
        return "list: " + ", ".join(map(_type, inner))
    return "date" if hint.__name__ == "date" else str(hint.__name__)


def _meanings(kind: type) -> dict[str, str]:
    """Return what a docstring says of each attribute."""
    text = (inspect.getdoc(kind) or "").partition("Parameters\n----------\n")[2]
    found = {}
    for names, meaning in re.findall(r"(?m)^(\w[\w, ]*) : ((?:.|\n(?=[ \t]))*)", text):
        for name in names.split(", "):
            found[name] = " ".join(meaning.split())
    return found


def main() -> None:
    """Write both pages."""
    PAGES.mkdir(parents=True, exist_ok=True)
    (PAGES / "commands.md").write_text(commands_page(), encoding="utf-8", newline="\n")
    (PAGES / "words.md").write_text(words_page(), encoding="utf-8", newline="\n")
    (PAGES / "json.md").write_text(json_page(), encoding="utf-8", newline="\n")


if __name__ == "__main__":
    main()
