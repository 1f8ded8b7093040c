"""Every example in physics runs, and every public formula has one."""

import doctest
import importlib
import inspect
import pkgutil

import pytest

import sugarwright.physics

MODULES = sorted(info.name for info in pkgutil.iter_modules(sugarwright.physics.__path__))


def public_functions(module):
    return [
        function
        for name, function in vars(module).items()
        if inspect.isfunction(function)
        and function.__module__ == module.__name__
        and not name.startswith("_")
    ]


@pytest.mark.parametrize("name", MODULES)
def test_examples(name):
    module = importlib.import_module(f"sugarwright.physics.{name}")
    assert doctest.testmod(module).failed == 0


@pytest.mark.parametrize("name", [name for name in MODULES if name != "valid"])
def test_every_public_formula_has_an_example(name):
    module = importlib.import_module(f"sugarwright.physics.{name}")
    for function in public_functions(module):
        assert ">>>" in inspect.getdoc(function), f"{function.__name__} has no example"
