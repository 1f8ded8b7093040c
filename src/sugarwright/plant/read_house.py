"""Reading ``sugarhouse.toml``: everything that is wrong with it, in one go, each with its line."""

from __future__ import annotations

import re
import tomllib
from collections.abc import Iterable
from pathlib import Path as FilePath
from typing import Any, TypeVar

from sugarwright.errors import HouseFileError, InputError
from sugarwright.plant.fields import Key, Nested, keys_of, spec_at
from sugarwright.plant.house import House
from sugarwright.plant.house_checks import faults_of
from sugarwright.plant.specs import REQUIRED, AsWritten, nearest, one_line, plain, toml
from sugarwright.plant.toml_lines import Path, line_at, line_of_each_key

C = TypeVar("C")
MOST_BYTES = 100_000
MOST_IN_LINE = 2_000
MOST_PROBLEMS = 20
_ABSENT = object()


class HouseProblemsError(HouseFileError):
    """Several things in a house description cannot be used; one line each.

    ``problems`` has them all as single errors, in the order of the file.
    """

    def __init__(self, problems: Iterable[InputError]) -> None:
        self.problems = tuple(problems)
        first = self.problems[0]
        super().__init__(
            first.field, first.value, first.problem, first.allowed, first.fix, first.place
        )

    def __str__(self) -> str:
        told = [str(problem) for problem in self.problems[:MOST_PROBLEMS]]
        left = len(self.problems) - len(told)
        return "\n".join([*told, f"... and {left} more."] if left else told)

    def at(self, field: str, place: str = "") -> InputError:
        """Return the same error: each of its problems has its place already."""
        return self


def read_house(path: str | FilePath) -> House:
    """Return the sugarhouse described by a file.

    Raises
    ------
    HouseFileError : the file cannot be read, or something in it cannot be used; when several
        things are wrong it is a :class:`HouseProblemsError` with all of them
    """
    path = FilePath(path)
    try:
        if path.is_dir():
            raise HouseFileError(path.name, None, "is a folder, not a file")
        with path.open("rb") as file:
            data = file.read(MOST_BYTES + 1)
    except FileNotFoundError:
        raise HouseFileError(
            path.name, None, "is not there", fix="`sugarwright new FOLDER` writes one."
        ) from None
    except (OSError, ValueError) as error:
        reason = getattr(error, "strerror", None) or str(error)
        raise HouseFileError(path.name, None, f"cannot be read: {reason}") from None
    if len(data) > MOST_BYTES:
        raise HouseFileError(
            path.name, None, "is too large for a house description", f"{MOST_BYTES:,} bytes"
        )
    return parse_house(_decoded(data, path.name), path.name)


def parse_house(text: str, name: str = "sugarhouse.toml") -> House:
    """Return the sugarhouse described by a TOML text; ``name`` is what messages call it.

    Raises
    ------
    HouseFileError : as for :func:`read_house`
    """
    text = text.removeprefix("\ufeff")
    raw = _toml(text, name)
    reading = _Reading(name, raw, line_of_each_key(text))
    house = reading.section(House, raw, ())
    if reading.problems or house is None:
        raise reading.error()
    return house


def _decoded(data: bytes, name: str) -> str:
    try:
        return data.decode("utf-8")
    except UnicodeDecodeError as error:
        line = data.count(b"\n", 0, error.start) + 1
        raise HouseFileError(
            "text",
            None,
            f"byte {data[error.start]:#04x} is no UTF-8",
            fix="Save the file as UTF-8 in your editor",
            place=f"{name} line {line}",
        ) from None


def _toml(text: str, name: str) -> dict[str, Any]:
    """Return what tomllib reads, or raise its error with key, line and a hint."""
    lines = text.rstrip("\n").split("\n")  # not splitlines(), which knows more ends than TOML
    for number, line in enumerate(lines, start=1):
        if len(line) > MOST_IN_LINE:
            raise _text_error(
                name, number, line, "is too long a line", f"{MOST_IN_LINE} characters"
            )
    try:
        return tomllib.loads(text)
    except RecursionError:
        problem, line_number = "brackets are nested too deep", None
    except ValueError as error:
        problem, line_number = _syntax(str(error), len(lines))
    shown = lines[line_number - 1].strip() if line_number else ""
    problem = f"is not written as TOML: {problem}"
    raise _text_error(name, line_number, shown, problem, fix=_syntax_hint(shown))


def _text_error(
    name: str, number: int | None, line: str, problem: str, allowed: str = "", fix: str = ""
) -> HouseFileError:
    statement = re.match(r"([\w.-]+)\s*=\s*(.*)", line)
    field, value = statement.groups() if statement else ("text", line)
    shown = AsWritten(one_line(value)) if value else None
    place = f"{name} line {number}" if number else name
    return HouseFileError(field[:80], shown, problem, allowed, fix, place)


def _syntax(message: str, count: int) -> tuple[str, int | None]:
    """Return tomllib's message without its place, and the line, of ``count``."""
    found = re.search(r" \(at (?:line (\d+), column \d+|end of document)\)$", message)
    problem = message[: found.start()] if found else message
    if found is None:
        return problem, None
    return problem, min(int(found[1] or count), count) or None


def _syntax_hint(line: str) -> str:
    value = re.match(r"[\w.-]+\s*=\s*([^\s\"'\[{].*)", line)
    if value:
        return f'Texts and quantities stand in quotes: "{one_line(value[1].strip())[:40]}"'
    return 'A line is [section], key = "value", or a # comment'


class _Reading:
    """One reading of one file: collects what is wrong instead of stopping at it."""

    def __init__(self, name: str, raw: dict[str, Any], lines: dict[Path, int]) -> None:
        self.name = name
        self.lines = lines
        self.problems: list[HouseFileError] = []
        site = raw.get("site")
        metric = isinstance(site, dict) and site.get("units") == "metric"
        self.system = "metric" if metric else "us"

    def error(self) -> HouseFileError:
        """Return one error for all problems, in the order of the file."""
        ordered = sorted(self.problems, key=_line_in)
        return ordered[0] if len(ordered) == 1 else HouseProblemsError(ordered)

    def say(
        self, path: Path, value: object, problem: str, allowed: str = "", fix: str = ""
    ) -> None:
        """Note a problem with the key at ``path``."""
        line = line_at(self.lines, path)
        place = f"{self.name} line {line}" if line else self.name
        shown = self._default_at(path) if value is _ABSENT else plain(value)
        field = one_line(_dotted(path))[:80]
        self.problems.append(HouseFileError(field, shown, problem, allowed, fix, place))

    def _default_at(self, path: Path) -> object:
        """Return what counts where the file says nothing: a fault may lie in a default."""
        spec = spec_at(House, path)
        if spec is None or spec.default is REQUIRED or spec.default is None:
            return None
        return AsWritten(f"{toml(spec.shown(spec.default, self.system))} (the default)")

    def section(self, cls: type[C], raw: object, at: Path) -> C | None:
        """Return the section, or None after noting what is wrong with it."""
        if not isinstance(raw, dict):
            self.say(at, raw, "is no section", fix="Write its keys under a [header].")
            return None
        before = len(self.problems)
        keys = keys_of(cls)
        self._unknown(raw, [key.path for key in keys], at)
        values = {key.attribute: self._value(key, raw, at) for key in keys}
        if len(self.problems) > before:
            return None
        made = cls(**{name: value for name, value in values.items() if value is not _ABSENT})
        for fault in faults_of(made):
            self.say(at + fault.path, _fetch(raw, fault.path), fault.problem, fix=fault.fix)
        return made

    def _value(self, key: Key, raw: dict[str, Any], at: Path) -> Any:
        found = _fetch(raw, key.path)
        path = at + key.path
        if isinstance(key.spec, Nested):
            return self._nested(key.spec, found, path)
        if found is _ABSENT:
            if key.spec.default is REQUIRED:
                self.say(path, _ABSENT, "is missing", key.spec.allowed(self.system), key.spec.help)
            return _ABSENT
        try:
            return key.spec.read(found, str(path[-1]), self.system)
        except InputError as error:
            self.say(path, error.value, error.problem, error.allowed, error.fix)
            return _ABSENT

    def _nested(self, spec: Nested, found: object, path: Path) -> Any:
        if spec.many:
            return self._each(spec, found, path)
        if found is not _ABSENT:
            return self.section(spec.section, found, path)
        if spec.optional:
            return None
        if any(key.spec.default is REQUIRED for key in keys_of(spec.section)):
            self.say(path, _ABSENT, f"section [{_dotted(path)}] is missing")
            return None
        return self.section(spec.section, {}, path)

    def _each(self, spec: Nested, found: object, path: Path) -> Any:
        items = [] if found is _ABSENT else found
        if not isinstance(items, list):
            self.say(path, found, "is no list", fix=f"Write [[{_dotted(path)}]] over each.")
            return None
        if not spec.fewest <= len(items) <= spec.most:
            allowed = f"{spec.fewest} to {spec.most} times [[{_dotted(path)}]]"
            self.say(path, _ABSENT, f"stands here {len(items)} times", allowed)
            return None
        return tuple(
            self.section(spec.section, item, (*path, number)) for number, item in enumerate(items)
        )

    def _unknown(self, raw: dict[str, Any], known: list[tuple[str, ...]], at: Path) -> None:
        """Note keys that nothing reads: a misspelt key must not pass for its default."""
        first = {path[0]: [p[1:] for p in known if p[0] == path[0] and p[1:]] for path in known}
        for name, value in raw.items():
            if name not in first:
                kind = "section" if isinstance(value, dict | list) and not at else "key"
                choices = ", ".join(first)
                fix = nearest(name, tuple(first))
                self.say((*at, name), _ABSENT, f"is no {kind} known here", choices, fix)
            elif first[name] and not isinstance(value, dict):
                self.say((*at, name), value, "is no section")
            elif first[name]:
                self._unknown(value, first[name], (*at, name))


def _fetch(raw: object, path: Path) -> Any:
    """Return what stands at a path of nested tables and lists, or _ABSENT."""
    for part in path:
        inside = isinstance(raw, dict) and part in raw
        listed = isinstance(raw, list) and isinstance(part, int) and part < len(raw)
        if not inside and not listed:
            return _ABSENT
        raw = raw[part]  # type: ignore[index]
    return raw


def _dotted(path: Path) -> str:
    return ".".join(part for part in path if isinstance(part, str))


def _line_in(problem: HouseFileError) -> int:
    found = re.search(r"line (\d+)$", problem.place)
    return int(found[1]) if found else 10**9
