"""One name a quantity: docs/names.md against the signatures of the code."""

from __future__ import annotations

import dataclasses
import importlib
import inspect
import pkgutil
import re
from collections.abc import Iterator
from fnmatch import fnmatchcase
from functools import cache
from pathlib import Path
from types import ModuleType

import pytest

from sugarwright.units import KINDS, kind_of

GLOSSARY = Path(__file__).resolve().parents[2] / "docs" / "names.md"
PACKAGES = (
    *("physics", "weather", "plant", "planning", "bench", "learning"),
    *("logbook", "ledger", "twin"),
)


@cache
def table(section: str) -> list[list[str]]:
    """Rows of the one table below a heading of the glossary, as lists of cells."""
    body = GLOSSARY.read_text(encoding="utf-8").split(f"\n## {section}\n")[1].split("\n## ")[0]
    lines = [line for line in body.splitlines() if line.startswith("|")]
    return [[cell.strip() for cell in line.strip("|").split("|")] for line in lines[2:]]


@cache
def names_in(section: str, column: int) -> tuple[str, ...]:
    return tuple(name for row in table(section) for name in re.findall(r"`([^`]+)`", row[column]))


def ends_like(name: str, endings: tuple[str, ...]) -> bool:
    return any(name == ending or name.endswith(f"_{ending}") for ending in endings)


def has_a_known_name(name: str) -> bool:
    """Tell whether a float's name is in the glossary, ends in a unit, or is a number by name."""
    units_only_inside = tuple(row[0].strip("`_") for row in table("Suffixes") if not row[2])
    return (
        ends_like(name, names_in("Quantities", 1))
        or kind_of(name) is not None
        or ends_like(name, units_only_inside)
        or any(fnmatchcase(name, form) for form in names_in("Numbers without a unit", 0))
    )


def is_banned(name: str) -> bool:
    return any(fnmatchcase(name, form) for form in names_in("Not these", 0))


def modules_of(package: str) -> Iterator[ModuleType]:
    root = importlib.import_module(f"sugarwright.{package}")
    yield root
    for found in pkgutil.walk_packages(root.__path__, f"{root.__name__}."):
        if ".migrations" not in found.name:  # scripts that run inside Alembic alone
            yield importlib.import_module(found.name)


def parameters_of(package: str) -> Iterator[tuple[str, inspect.Parameter]]:
    """Yield the parameters of each public function, and where they stand."""
    for module in modules_of(package):
        for name, member in vars(module).items():
            function = inspect.unwrap(member) if callable(member) else member
            if name.startswith("_") or not inspect.isfunction(function):
                continue
            if function.__module__ == module.__name__:
                for parameter in inspect.signature(function).parameters.values():
                    yield f"{module.__name__}.{name}({parameter.name})", parameter


def fields_of(package: str) -> Iterator[tuple[str, str]]:
    """Yield the fields of each public record (dataclass or named tuple), and where they stand."""
    for module in modules_of(package):
        for name, member in vars(module).items():
            if name.startswith("_") or not inspect.isclass(member):
                continue
            if member.__module__ != module.__name__:
                continue
            fields: tuple[str, ...] = getattr(member, "_fields", ())
            if dataclasses.is_dataclass(member):
                fields = tuple(field.name for field in dataclasses.fields(member))
            for field in fields:
                yield f"{module.__name__}.{name}.{field}", field


def is_float(parameter: inspect.Parameter) -> bool:
    return parameter.annotation in (float, "float")


@pytest.mark.parametrize("package", PACKAGES)
def test_every_float_of_a_public_function_has_a_known_name(package: str) -> None:
    unknown = [
        where
        for where, parameter in parameters_of(package)
        if is_float(parameter) and not has_a_known_name(parameter.name)
    ]
    assert not unknown, (
        "these floats have no unit in their name. Use the name of docs/names.md (or end it in one "
        "of its suffixes); a number without a unit goes to its third table:\n" + "\n".join(unknown)
    )


@pytest.mark.parametrize("package", PACKAGES)
def test_no_banned_name_is_used(package: str) -> None:
    banned = [where for where, each in parameters_of(package) if is_banned(each.name)]
    banned += [where for where, name in fields_of(package) if is_banned(name)]
    assert not banned, (
        'these names stand under "Not these" in docs/names.md; use the one beside them there:\n'
        + "\n".join(banned)
    )


def test_physics_is_walked_through_its_range_checks() -> None:
    found = {parameter.name for _, parameter in parameters_of("physics") if is_float(parameter)}
    assert {"temperature_c", "brix", "pressure_pa"} <= found


def test_suffixes_of_the_glossary_are_those_of_the_kinds() -> None:
    written = {row[0].strip("`"): row[2] for row in table("Suffixes") if row[2]}
    assert written == {kind.suffix: kind.name for kind in KINDS}
    assert len(names_in("Suffixes", 0)) == len(set(names_in("Suffixes", 0)))


def test_suffixes_without_a_kind_are_not_taken_for_one() -> None:
    for row in table("Suffixes"):
        if not row[2]:
            assert kind_of(f"some{row[0].strip('`')}") is None, row[0]


def test_a_quantity_is_named_once_and_not_banned() -> None:
    names = names_in("Quantities", 1)
    assert len(names) == len(set(names))
    assert not [name for name in names if is_banned(name)]
    assert not [ending for ending in names_in("Suffixes", 0) if is_banned(f"some{ending}")]


@pytest.mark.parametrize("name", ["temp", "pressure_bar", "volume_l", "t_air", "temperature_k"])
def test_the_check_can_fail_on_a_banned_name(name: str) -> None:
    assert is_banned(name)


@pytest.mark.parametrize("name", ["pressure", "density", "x", "feed", "vacuum_pascal", "brix_2"])
def test_the_check_can_fail_on_an_unknown_name(name: str) -> None:
    assert not has_a_known_name(name)
