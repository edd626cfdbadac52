"""The package as a whole: examples hold, docstrings are complete, starting it is cheap."""

import doctest
import inspect
import subprocess
import sys
from importlib import import_module
from pkgutil import iter_modules

import pytest

from pipeline import enology

MODULES = [module.name for module in iter_modules(enology.__path__)]
# How arguments are taken is described once, in `arguments`.
PLUMBING = {"checked", "returned", "chosen", "gravity_pair"}


def functions(name):
    module = import_module(f"pipeline.enology.{name}")
    return {
        key: member
        for key, member in vars(module).items()
        if inspect.isfunction(member)
        and member.__module__ == module.__name__
        and not key.startswith("_")
        and key not in PLUMBING
    }


@pytest.mark.parametrize("name", MODULES)
def test_examples_hold(name):
    outcome = doctest.testmod(import_module(f"pipeline.enology.{name}"))
    assert outcome.failed == 0


@pytest.mark.parametrize("name", MODULES)
def test_docstrings_name_every_argument_and_the_result(name):
    for function in functions(name).values():
        text = inspect.getdoc(function)
        assert "Returns\n-------" in text, function.__name__
        for argument in inspect.signature(function).parameters:
            assert argument in text, (function.__name__, argument)


@pytest.mark.parametrize("name", MODULES)
def test_modules_with_formulas_name_their_sources(name):
    module = import_module(f"pipeline.enology.{name}")
    needs_none = {"arguments", "copper", "limits", "validity"}
    assert name in needs_none or "References\n----------" in module.__doc__


def test_starting_the_chemistry_loads_numpy_and_nothing_heavy():
    modules = ", ".join(f"pipeline.enology.{name}" for name in MODULES)
    code = f"import sys, {modules}; print(*{{name.split('.')[0] for name in sys.modules}})"
    loaded = subprocess.run(
        [sys.executable, "-c", code], capture_output=True, text=True, check=True
    ).stdout.split()
    assert "numpy" in loaded
    assert not {"scipy", "polars", "pandas", "pint", "duckdb", "sklearn"} & set(loaded)
