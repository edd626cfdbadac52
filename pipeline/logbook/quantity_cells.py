"""Columns of quantities: what each expects, and the parts its cells are read into."""

from collections.abc import Sequence
from typing import NamedTuple

import polars as pl

from pipeline.logbook.contract import CellKind, Column
from pipeline.logbook.distinct import ReadColumn, read_distinct
from pipeline.logbook.numerals import Decimal
from pipeline.logbook.problems import Fault
from pipeline.logbook.quantity import Expects, Quantity, read_quantity
from pipeline.logbook.units import UNITS, Dimension, Unit

_FLOAT, _TEXT, _FLAG = pl.Float64(), pl.String(), pl.Boolean()
_AMOUNT_FIELDS = {
    "dimension": _TEXT,
    "us": _FLOAT,
    "imperial": _FLOAT,
    "is_rough": _FLAG,
    "is_to_mark": _FLAG,
    "is_spoon": _FLAG,
    "is_cup": _FLAG,
    "piece": _TEXT,
}


class _Kind(NamedTuple):
    """What a column of quantities expects; `bare` is the contract's default unit."""

    noun: str
    dimensions: frozenset[Dimension]
    example: str
    bare: Unit | None = None


_AMOUNTS: frozenset[Dimension] = frozenset({"mass", "volume", "count"})
_VOLUMES: frozenset[Dimension] = frozenset({"volume"})
_GRAVITIES: frozenset[Dimension] = frozenset({"gravity", "brix"})
_TEMPERATURES: frozenset[Dimension] = frozenset({"celsius", "fahrenheit"})
_STRENGTHS: frozenset[Dimension] = frozenset({"concentration", "percent"})
_TRACES: frozenset[Dimension] = frozenset({"concentration"})
_QUANTITIES: dict[CellKind, _Kind] = {
    "amount": _Kind("an amount", _AMOUNTS, "2 lb or 900 g"),
    "volume": _Kind("a volume", _VOLUMES, "4.5 L or 1 gal"),
    "gravity": _Kind("a gravity", _GRAVITIES, "1.082 or 22.5 Bx", UNITS["SG"]),
    "temperature": _Kind("a temperature", _TEMPERATURES, "20 C or 68 F"),
    "acidity": _Kind("an acidity", _STRENGTHS, "6.1 or 6.1 g/L", UNITS["g/L"]),
    "sulphite": _Kind("free sulphur dioxide", _TRACES, "28 or 28 mg/L", UNITS["mg/L"]),
    "sugar": _Kind("sugar", _STRENGTHS, "20 or 20 g/L", UNITS["g/L"]),
}
_SCALES: dict[CellKind, float] = {"acidity": 1.0, "sugar": 1.0, "sulphite": 1e3}


def expectation(
    kind: CellKind,
    heading: Unit | None = None,
    decimal: Decimal = ".",
    *,
    may_be_mark: bool = False,
) -> Expects:
    """Return what a column of quantities expects, given the unit its heading says."""
    noun, dimensions, example, bare = _QUANTITIES[kind]
    if heading is not None and heading.dimension in dimensions:
        bare = heading
    if decimal == ",":
        example = example.replace(".", ",")
    return Expects(noun, dimensions, example, bare, decimal, may_be_mark)


def read_quantities(
    cells: pl.Series, column: Column, heading: Unit | None, decimal: Decimal
) -> ReadColumn:
    """Read a column of quantities into their parts.

    Parameters
    ----------
    cells : polars.Series
        Text; null or nothing but blanks where the cell is blank.
    column : Column
        What the contract says of it.
    heading : Unit, optional
        The unit its heading says, for bare numbers.
    decimal : {".", ","}
        The logbook's decimal mark.
    """
    expects = expectation(column.kind, heading, decimal, may_be_mark=column.kind == "amount")

    def read(text: str) -> Sequence[object] | Fault:
        found = read_quantity(text, expects)
        return found if isinstance(found, Fault) else _parts(found, column)

    return read_distinct(cells, read, _fields(column))


def _fields(column: Column) -> dict[str, pl.DataType]:
    match column.kind:
        case "amount":
            return dict(_AMOUNT_FIELDS)
        case "volume":
            return {"us": _FLOAT, "imperial": _FLOAT, "error": _FLOAT}
        case "gravity":
            return {"gravity_sg": _FLOAT, "gravity_brix": _FLOAT, "is_rough": _FLAG}
        case "temperature":
            return {f"{column.name}_c": _FLOAT, "is_rough": _FLAG}
        case "sulphite":
            return {f"{column.name}_mg_l": _FLOAT, "is_rough": _FLAG}
        case _:
            return {f"{column.name}_g_l": _FLOAT, "is_rough": _FLAG}


def _parts(found: Quantity, column: Column) -> Sequence[object]:
    match column.kind:
        case "amount":
            return found
        case "volume":
            return found.us, found.imperial, volume_error(found)
        case "gravity":
            is_sg = found.dimension == "gravity"
            return found.us if is_sg else None, None if is_sg else found.us, found.is_rough
        case "temperature":
            return (
                found.us - 32
            ) / 1.8 if found.dimension == "fahrenheit" else found.us, found.is_rough
        case _:
            return found.us * _SCALES[column.kind], found.is_rough


ROUGH_ERROR = 0.10  # the contract: `~` is carried as ±10 %
SPOON_ERROR = 0.20  # the contract: spoons are carried as ±20 %


def volume_error(found: Quantity) -> float:
    """Return the relative half-width of a volume: rough ±10 %, spoons ±20 %, in quadrature."""
    return float((found.is_rough * ROUGH_ERROR**2 + found.is_spoon * SPOON_ERROR**2) ** 0.5)
