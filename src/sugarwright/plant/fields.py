"""Every key of ``sugarhouse.toml`` is described once, beside its attribute, by these helpers.

A section is a frozen dataclass made by :func:`section`. An attribute ``volume_m3`` declared with
``quantity(VOLUME, ...)`` is the key ``volume``: the suffix of the kind is dropped, since in the
file the person writes the unit. :func:`keys_of` the class is all that the reader, the commented
file and the reference page know of it.
"""

from __future__ import annotations

import dataclasses
import inspect
from collections.abc import Callable, Sequence
from dataclasses import dataclass
from typing import Any, TypeVar, dataclass_transform

from sugarwright.plant.specs import REQUIRED, Spec
from sugarwright.plant.specs_numbers import Many, Number, Quantity
from sugarwright.plant.specs_words import Choice, Clock, Day, Spans, Text, YesNo, Zone
from sugarwright.units import Kind

C = TypeVar("C")


@dataclass(frozen=True, kw_only=True)
class Nested(Spec):
    """A section inside a section: one (``many`` false) or a list of them."""

    section: type
    title: str = ""
    many: bool = False
    fewest: int = 0
    most: int = 1

    @property
    def optional(self) -> bool:
        """Whether the section may be absent."""
        return self.default is None

    @property
    def sort(self) -> str:
        """What the key holds."""
        return "sections" if self.many else "section"


@dataclass(frozen=True)
class About:
    """A section's heading, the text that teaches it, and the caution that stands over it."""

    title: str
    teaches: str
    caution: str


@dataclass(frozen=True)
class Key:
    """One key of a section: its TOML path inside it, the attribute and the spec."""

    path: tuple[str, ...]
    attribute: str
    spec: Spec


def quantity(
    kind: Kind, *, least: str, greatest: str, default: Any = REQUIRED, **about: Any
) -> Any:
    """Declare a number with a unit; texts for default and range are in any unit of the kind."""
    return _declare(Quantity(kind=kind, least=least, greatest=greatest, default=default, **about))


def number(*, least: float, greatest: float, default: Any = REQUIRED, **about: Any) -> Any:
    """Declare a plain number."""
    return _declare(Number(least=least, greatest=greatest, default=default, **about))


def whole(*, least: int, greatest: int, default: Any = REQUIRED, **about: Any) -> Any:
    """Declare a whole number."""
    return _declare(Number(least=least, greatest=greatest, default=default, integral=True, **about))


def text(*, default: Any = REQUIRED, **about: Any) -> Any:
    """Declare a short text."""
    return _declare(Text(default=default, **about))


def choice(options: tuple[str, ...], *, default: Any = REQUIRED, **about: Any) -> Any:
    """Declare one of a few words."""
    return _declare(Choice(options=options, default=default, **about))


def zone(*, default: Any = REQUIRED, **about: Any) -> Any:
    """Declare a time zone."""
    return _declare(Zone(default=default, **about))


def yes_no(*, default: Any = REQUIRED, **about: Any) -> Any:
    """Declare true or false."""
    return _declare(YesNo(default=default, **about))


def day(*, default: Any = REQUIRED, **about: Any) -> Any:
    """Declare a date."""
    return _declare(Day(default=default, **about))


def clock(*, default: Any = REQUIRED, **about: Any) -> Any:
    """Declare a time of the day."""
    return _declare(Clock(default=default, **about))


def spans(*, default: Any = REQUIRED, **about: Any) -> Any:
    """Declare the hours of a day."""
    return _declare(Spans(default=default, **about))


def quantities(
    kind: Kind,
    *,
    least: str,
    greatest: str,
    fewest: int,
    most: int,
    default: Any = REQUIRED,
    **about: Any,
) -> Any:
    """Declare a list of quantities of one kind."""
    of = (Quantity(kind=kind, least=least, greatest=greatest),)
    return _declare(Many(of=of, fewest=fewest, most=most, default=default, **about))


def pairs(*of: tuple[Kind, str, str], most: int, default: Any, **about: Any) -> Any:
    """Declare a list of rows, each with one quantity per (kind, least, greatest) of ``of``."""
    row = tuple(Quantity(kind=kind, least=low, greatest=high) for kind, low, high in of)
    return _declare(Many(of=row, fewest=2, most=most, default=default, **about))


def table_of(section: type, *, default: Any = REQUIRED, **about: Any) -> Any:
    """Declare a section inside this one; with ``default=None`` it may be absent."""
    return _declare(Nested(section=section, default=default, **about))


def list_of(section: type, *, most: int, fewest: int = 0, **about: Any) -> Any:
    """Declare a list of sections (``[[...]]``)."""
    return _declare(Nested(section=section, many=True, fewest=fewest, most=most, **about))


@dataclass_transform(
    kw_only_default=True,
    frozen_default=True,
    field_specifiers=(
        quantity,
        number,
        whole,
        text,
        choice,
        zone,
        yes_no,
        day,
        clock,
        spans,
        quantities,
        pairs,
        table_of,
        list_of,
    ),
)
def section(title: str, caution: str = "") -> Callable[[type[C]], type[C]]:
    """Make a class of declared keys a frozen, keyword-only dataclass.

    Parameters
    ----------
    title : heading of the section in the file and on the reference page
    caution : what can hurt there; stands in the file above the keys
    """

    def make(cls: type[C]) -> type[C]:
        made = dataclass(frozen=True, kw_only=True)(cls)
        fields = dataclasses.fields(made)  # type: ignore[arg-type]  # it is a dataclass now
        _KEYS[made] = tuple(_key(field) for field in fields)
        _ABOUT[made] = About(title, inspect.getdoc(cls) or "", caution)
        return made

    return make


_ABOUT: dict[type, About] = {}
_KEYS: dict[type, tuple[Key, ...]] = {}


def about(cls: type) -> About:
    """Return heading, teaching text and caution of a section."""
    return _ABOUT[cls]


def keys_of(cls: type) -> tuple[Key, ...]:
    """Return every key of a section, in the order in which the file teaches them."""
    return _KEYS[cls]


def spec_at(cls: type, path: Sequence[str | int]) -> Spec | None:
    """Return the spec of the key at a path below a section, or None."""
    names = tuple(part for part in path if isinstance(part, str))
    for key in keys_of(cls):
        rest = names[len(key.path) :]
        if names[: len(key.path)] == key.path:
            if isinstance(key.spec, Nested) and rest:
                return spec_at(key.spec.section, rest)
            return key.spec
    return None


def _key(field: dataclasses.Field[Any]) -> Key:
    spec: Spec = field.metadata["spec"]
    name = spec.key or field.name.removesuffix(spec.suffix)
    return Key(tuple(name.split(".")), field.name, spec)


def _declare(spec: Spec) -> Any:
    if spec.default is REQUIRED:
        return dataclasses.field(metadata={"spec": spec})
    value = None if spec.default is None else spec.read(spec.default, "default")
    return dataclasses.field(metadata={"spec": spec}, default=value)
