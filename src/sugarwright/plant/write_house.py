"""The commented file that teaches: ``sugarhouse.toml`` with every key, its help and its default.

Keys that were answered (or follow from answers) are written; all others stand commented out at
their defaults, so that the file shows what could be said without saying it.
"""

from __future__ import annotations

import textwrap
from collections.abc import Mapping
from typing import Any

from sugarwright.plant.fields import Key, Nested, about, keys_of
from sugarwright.plant.house import Chore, House
from sugarwright.plant.house_people import USUAL_CHORES
from sugarwright.plant.questions import Answers, in_use, read_answers, worked_out
from sugarwright.plant.read_house import parse_house
from sugarwright.plant.specs import REQUIRED, Spec, toml
from sugarwright.units import VOLUME, parse, show

WIDTH = 88
HEAD = """\
Your sugarhouse, as Sugarwright knows it. Change a line, save, run `sugarwright check`.

Quantities stand in quotes with any usual unit: "400 gal", "1.5 m3", "25 gal/h", "12 psi". A line
that begins with "#" says nothing to the program. Where it shows a key, that is the default: take
the "#" away to change it.
"""


def house_toml(typed: Mapping[str, Any]) -> str:
    """Return the commented file for some answers.

    Parameters
    ----------
    typed : key path ("tank.sap.volume") -> what a person typed, or the raw value; "membrane" is
        yes or no; keys of lists ("gathering.taps", "people.hour") are those of the first entry

    Raises
    ------
    InputError : an answer cannot be read, is missing, or contradicts another
    """
    answers = read_answers(typed)
    page = _Page(answers, worked_out(answers))
    page.comment(HEAD)
    for key in keys_of(House):
        if key.attribute == "chores":
            page.chores()
        else:
            page.section(key, ".".join(key.path))
    text = "\n".join(page.lines) + "\n"
    parse_house(text, "the new sugarhouse.toml")
    return text


class _Page:
    """The file while it is written."""

    def __init__(self, answers: Answers, follows: Answers) -> None:
        self.answers = answers
        self.follows = follows
        self.system = str(answers.get("site.units", "us"))
        self.metric = self.system == "metric"
        self.lines: list[str] = []
        self.taught: dict[type, str] = {}

    def comment(self, text: str, mark: str = "# ") -> None:
        """Add comment lines, each paragraph wrapped."""
        for paragraph in text.strip().split("\n\n"):
            self.lines += textwrap.wrap(
                paragraph,
                WIDTH,
                initial_indent=mark,
                subsequent_indent=mark,
                break_on_hyphens=False,
            )

    def section(self, key: Key, path: str) -> None:
        """Add a section with its keys; one that is not in use stands commented out."""
        assert isinstance(key.spec, Nested)
        cls, shown = key.spec.section, in_use(path, self.answers)
        self._heading(cls, key.spec.title or about(cls).title, key.spec.help)
        self._header(f"[[{path}]]" if key.spec.many else f"[{path}]", shown)
        plain_keys = [one for one in keys_of(cls) if not isinstance(one.spec, Nested)]
        for one in plain_keys:
            full = f"{path}.{one.path[0]}"
            given = self.answers.get(full, self.follows.get(full)) if shown else None
            self._key(one, full, given, teach=cls not in self.taught)
        self.taught.setdefault(cls, path)
        for one in keys_of(cls):
            if isinstance(one.spec, Nested):
                self.section(one, f"{path}.{one.path[0]}")

    def chores(self) -> None:
        """Add the usual chores, of which the first explains the keys."""
        self._heading(
            Chore, "Chores", "The usual ones, common practice, no source: put in your own minutes."
        )
        for name, when, duration, per in USUAL_CHORES:
            self.lines.append("")
            self._header("[[chore]]", shown=True)
            raw = {"name": name, "when": when, "duration": duration, "per": self._volume(per)}
            for key in keys_of(Chore):
                given = raw.get(key.path[0])
                self._key(key, "chore", given, teach=Chore not in self.taught)
            self.taught.setdefault(Chore, "chore")

    def _heading(self, cls: type, title: str, help_text: str) -> None:
        of = about(cls)
        self.lines += ["", "", f"# ---- {title} ".ljust(WIDTH, "-")]
        self.comment(help_text)
        if cls in self.taught:
            self.comment(f"The keys are explained at [{self.taught[cls]}] above.")
            return
        self.comment(of.teaches)
        if of.caution:
            self.comment(f"CAUTION: {of.caution}", mark="# ! ")

    def _header(self, header: str, shown: bool) -> None:
        self.lines.append(header if shown else f"# {header}")

    def _key(self, key: Key, path: str, given: object, teach: bool) -> None:
        """Add one key: what it is and what is allowed when taught; its line when it says much."""
        if teach:
            self._teach(key.spec, path)
        if given is not None:
            self.lines.append(f"{key.path[0]} = {toml(given)}")
        elif teach:
            has_default = key.spec.default is not REQUIRED and key.spec.default is not None
            raw = key.spec.default if has_default else key.spec.example
            if raw is not None:
                note = "" if has_default else "  # an example, no default"
                self.lines.append(
                    f"# {key.path[0]} = {toml(key.spec.shown(raw, self.system))}{note}"
                )

    def _teach(self, spec: Spec, path: str) -> None:
        told = [spec.help, f"Allowed: {spec.allowed(self.system)}."]
        if spec.source:
            told.append(f"Basis: {spec.source}.")
        if path in self.follows:
            told.append("WORKED OUT from the size of your house: correct it.")
        self.lines.append("")
        self.comment(" ".join(told))

    def _volume(self, us: str | None) -> str | None:
        return show(parse(us, VOLUME), VOLUME, self.system) if us and self.metric else us
