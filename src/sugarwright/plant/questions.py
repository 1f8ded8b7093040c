"""The questions that make a first ``sugarhouse.toml``, and what follows from their answers.

A question is a key with an ``ask``; nothing is asked that a useful first plan can do without.
What else depends on the size of the house (the pan's compartments, the reserve, the machine's
flows ...) is scaled from the defaults and written out, so that the person sees and corrects it.
"""

from __future__ import annotations

from collections.abc import Callable, Mapping
from dataclasses import dataclass, replace
from typing import Any

from sugarwright.errors import HouseFileError, InputError
from sugarwright.plant.fields import Nested, keys_of, spec_at
from sugarwright.plant.house import House, Tank
from sugarwright.plant.specs import REQUIRED, Spec, nearest
from sugarwright.plant.specs_numbers import Many, Quantity
from sugarwright.plant.specs_words import YesNo
from sugarwright.units import Kind, parse, show

_TANK_HELP = "All that it can hold, up to its overflow."  # of other shapes the file tells
Answers = Mapping[str, Any]
"""Key path ("tank.sap.volume") -> raw value as TOML would hold it."""


@dataclass(frozen=True)
class Question:
    """One question; ``path`` is the key that its answer fills ("membrane" is yes or no)."""

    path: str
    ask: str
    spec: Spec

    @property
    def default(self) -> Any:
        """The raw default, or None when there is none."""
        return None if self.spec.default is REQUIRED else self.spec.default

    def read(self, typed: str, system: str = "us") -> Any:
        """Return the raw value of a typed answer; raise an InputError when it cannot be one.

        What the error allows is in the person's units (``system``), and as one types it here.
        """
        raw = self.spec.typed(typed)
        try:
            self.spec.read(raw, self.path, system)
        except InputError as error:
            fix = "" if "quotes" in error.fix else error.fix  # only the file needs quotes
            if isinstance(self.spec, Quantity):
                usual = self.default or self.spec.kind.example
                fix = fix.replace(self.spec.kind.example, self.spec.shown(usual, system))
            said = self.spec.said(system) if error.allowed else ""
            raise InputError(self.path, typed, error.problem, said, fix) from None
        return raw


def questions() -> tuple[Question, ...]:
    """Return every question, in the order of the file."""
    return tuple(_questions(House, ""))


def as_typed(raw: Any) -> str:
    """Return a raw answer as a person would type it."""
    if isinstance(raw, bool):
        return "yes" if raw else "no"
    return ", ".join(map(str, raw)) if isinstance(raw, list) else str(raw)


def is_asked(question: Question, answers: Answers) -> bool:
    """Return whether the answers so far leave a question to be asked."""
    tank, _, name = question.path.rpartition(".")
    if name == "volume" and answers.get(f"{tank}.shape", "plain") != "plain":
        return False
    return question.path == "membrane" or in_use(question.path, answers)


def in_use(path: str, answers: Answers) -> bool:
    """Return whether a section or key means anything in the house of these answers."""
    return all(
        means(answers)
        for part, means in _PARTS.items()
        if path == part or path.startswith(f"{part}.")
    )


def read_answers(typed: Mapping[str, Any]) -> dict[str, Any]:
    """Return answers as raw values.

    Parameters
    ----------
    typed : key path -> what was typed; other keys of the house than those asked may be among them

    Raises
    ------
    InputError : a path is no key, an answer cannot be read, or a needed one is missing
    """
    answers = {path: _raw(path, value) for path, value in typed.items()}
    system = str(answers.get("site.units", "us"))
    for question in questions():
        if question.path not in answers and question.default is not None:
            answers[question.path] = question.spec.shown(question.default, system)
    for question in questions():
        if question.path not in answers and is_asked(question, answers):
            raise InputError(question.path, None, "is needed", question.spec.allowed())
    return answers


def worked_out(answers: Answers) -> dict[str, Any]:
    """Return what follows from the answers and was not given: key path -> raw value."""
    system = str(answers.get("site.units", "us"))
    return {
        path: _scaled(path, factor(answers), system)
        for path, factor in _FOLLOWS.items()
        if path not in answers and in_use(path, answers)
    }


def _questions(cls: type, above: str) -> list[Question]:
    found = []
    for key in keys_of(cls):
        path = ".".join(filter(None, (above, *key.path)))
        if not isinstance(key.spec, Nested):
            found += [Question(path, key.spec.ask, key.spec)] if key.spec.ask else []
        elif key.spec.section is Tank:
            volume = spec_at(Tank, ("volume",)) or Spec()
            volume = replace(volume, help=_TANK_HELP)
            found.append(Question(f"{path}.volume", key.spec.ask, volume))
        else:
            if key.spec.ask:
                found.append(Question(path, key.spec.ask, YesNo(default=False)))
            found += _questions(key.spec.section, path)
    return found


def _raw(path: str, value: Any) -> Any:
    spec = YesNo() if path == "membrane" else spec_at(House, path.split("."))
    if spec is None or isinstance(spec, Nested):
        known = [question.path for question in questions()]
        raise HouseFileError(path, None, "is no key of the house", fix=nearest(path, known))
    raw = spec.typed(value) if isinstance(value, str) else value
    spec.read(raw, path)
    return raw


def _scaled(path: str, factor: float, system: str) -> Any:
    """Return the default of a key times a factor, rounded as people write it."""
    spec = spec_at(House, path.split("."))
    if isinstance(spec, Many):
        return [_times(factor, text, spec.of[0].kind, system) for text in spec.default]
    if isinstance(spec, Quantity):
        return _times(factor, spec.default, spec.kind, system)
    raise TypeError(f"{path} has no size to scale")


def _times(factor: float, text: str, kind: Kind, system: str) -> str:
    if factor == 1.0 and system == "us":
        return text
    return show(factor * parse(text, kind), kind, system)


def _ratio(path: str, usual: str) -> Callable[[Answers], float]:
    """Return how much larger the answer at ``path`` is than what the defaults are made for."""

    def ratio(answers: Answers) -> float:
        spec = spec_at(House, path.split("."))
        if path not in answers or not isinstance(spec, Quantity):
            return 1.0
        return parse(answers[path], spec.kind) / parse(usual, spec.kind)

    return ratio


def _membrane(answers: Answers) -> float:
    area = _ratio("membrane.element_area", "82 ft2")(answers)
    return area * float(answers.get("membrane.in_parallel", 1))


def _feed(answers: Answers) -> float:
    tank = "tank.stock.volume" if answers.get("membrane") is True else "tank.sap.volume"
    return _ratio(tank, "150 gal")(answers)


_pan = _ratio("pan.boil_rate", "25 gal/h")
_sap = _ratio("tank.sap.volume", "400 gal")

_gathered = _ratio("gathering.tank.volume", "150 gal")


def _has_membrane(answers: Answers) -> bool:
    return answers.get("membrane") is True


_PARTS: dict[str, Callable[[Answers], bool]] = {
    "site.normals": lambda answers: any(path.startswith("site.normals.") for path in answers),
    "membrane": _has_membrane,
    "tank.stock": _has_membrane,
    "tank.permeate": _has_membrane,
    "habit.membrane_sap": _has_membrane,
    "habit.concentrate_flow": _has_membrane,
    "gathering.tank": lambda answers: answers.get("gathering.way") in ("pump", "trips"),
    "gathering.pump": lambda answers: answers.get("gathering.way") == "pump",
    "gathering.trips": lambda answers: answers.get("gathering.way") == "trips",
}
"""Parts of a house that not every house has."""

_FOLLOWS: dict[str, Callable[[Answers], float]] = {
    "gathering.pump.start_volume": _gathered,
    "gathering.trips.start_volume": _gathered,
    "membrane.recirculation_flow": _membrane,
    "membrane.least_flow": _membrane,
    "membrane.most_flow": _membrane,
    "membrane.motor_power": _membrane,
    "membrane.motor_current": _membrane,
    "membrane.rinse_volume": _membrane,
    "membrane.wash_volume": _membrane,
    "membrane.least_sap": _sap,
    "pan.floor_area": _pan,
    "pan.compartments": _pan,
    "pan.draw_volume": _pan,
    "pan.reserve": _pan,
    "habit.membrane_sap": _sap,
    "habit.concentrate_flow": _membrane,
    "habit.fire_stock": _feed,
}
"""Keys whose default belongs to a house of a certain size, and how they grow with the answers."""
