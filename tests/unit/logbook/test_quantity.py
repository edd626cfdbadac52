"""Quantity cells against a table of cells; sizes are checked by an independent unit library."""

from pathlib import Path

import pint
import polars as pl
import pytest
from hypothesis import given
from hypothesis import strategies as st
from unit.logbook.conftest import said_twice

from pipeline.logbook.problems import Fault
from pipeline.logbook.quantity import Expects, Quantity, read_quantity, write_quantity
from pipeline.logbook.quantity_cells import expectation
from pipeline.logbook.units import UNITS, find_unit

HERE = Path(__file__).parent
REGISTRY = pint.UnitRegistry()
REGISTRY.define("piece = []")
BASE_UNITS = {
    "mass": "kg",
    "volume": "L",
    "celsius": "degC",
    "fahrenheit": "degF",
    "concentration": "g/L",
    "percent": "g/L",
    "gravity": "dimensionless",
    "brix": "piece",
    "count": "piece",
}


def _rows(file: str) -> list[tuple[str, ...]]:
    return pl.read_csv(HERE / file, infer_schema=False).fill_null("").rows()


ACCEPTED = _rows("accepted_quantities.csv")
REJECTED = _rows("rejected_quantities.csv")


def _expects(column: str) -> Expects:
    return expectation(column, may_be_mark=column == "amount")


def _size(text: str, base: str) -> float:
    parts = (part.split(" ", 1) for part in text.split(" + "))
    return sum(REGISTRY.Quantity(float(number), unit).m_as(base) for number, unit in parts)


def test_there_are_enough_examples() -> None:
    assert len(ACCEPTED) + len(REJECTED) >= 300
    assert len(set(ACCEPTED)) == len(ACCEPTED)
    assert len(set(REJECTED)) == len(REJECTED)


@pytest.mark.parametrize(("column", "cell", "us", "imperial", "marks"), ACCEPTED)
def test_accepted(column: str, cell: str, us: str, imperial: str, marks: str) -> None:
    found = read_quantity(cell, _expects(column))
    assert isinstance(found, Quantity), found
    base = BASE_UNITS[found.dimension]
    assert found.us == pytest.approx(_size(us, base), rel=1e-9)
    assert found.imperial == pytest.approx(_size(imperial or us, base), rel=1e-9)
    assert _marks(found) == set(marks.split())


def _marks(found: Quantity) -> set[str]:
    marks = {
        "rough": found.is_rough,
        "mark": found.is_to_mark,
        "spoon": found.is_spoon,
        "kitchen": found.is_cup,
        "brix": found.dimension == "brix",
        "percent": found.dimension == "percent",
        "packet": found.piece == "packet",
        "tablet": found.piece == "tablet",
    }
    return {name for name, is_set in marks.items() if is_set}


@pytest.mark.parametrize(("column", "cell", "rule", "hint"), REJECTED)
def test_rejected(column: str, cell: str, rule: str, hint: str) -> None:
    found = read_quantity(cell, _expects(column))
    assert isinstance(found, Fault), found
    assert found.rule == rule, found
    assert hint in (found.hint or ""), found
    assert not said_twice(found.message, found.hint), found
    assert "must be" in found.message or found.rule in (
        "words",
        "range",
        "date-shaped",
        "decimal-mark",
        "to-mark",
    )


@pytest.mark.parametrize(
    ("cell", "value"),
    [
        ("1,5 kg", 1.5),
        (",5 kg", 0.5),
        ("1,360 kg", 1.36),
        ("1½ kg", 1.5),
        ("2 kg", 2),
        ("1/2 kg", 0.5),
    ],
)
def test_decimal_comma_where_the_logbook_says_so(cell: str, value: float) -> None:
    found = read_quantity(cell, _expects("amount")._replace(decimal=","))
    assert isinstance(found, Quantity)
    assert found.us == pytest.approx(value)


@pytest.mark.parametrize(("cell", "hint"), [("1.360 kg", "1,360 kg"), ("1.5 kg", "1,5 kg")])
def test_a_point_is_refused_in_a_decimal_comma_logbook(cell: str, hint: str) -> None:
    found = read_quantity(cell, _expects("amount")._replace(decimal=","))
    assert isinstance(found, Fault)
    assert (found.rule, found.hint) == ("decimal-mark", hint)


def test_a_unit_in_the_heading_is_the_unit_of_bare_numbers() -> None:
    expects = _expects("volume")._replace(bare=UNITS["L"])
    found = read_quantity("4.5", expects)
    assert isinstance(found, Quantity)
    assert found.us == 4.5
    other = read_quantity("1 us gal", expects)
    assert isinstance(other, Quantity)
    assert other.us == pytest.approx(3.785, abs=0.001)


# Numbers a scale, jug or hydrometer could show: at most six digits after the point.
NUMBERS = st.integers(0, 10**9).map(lambda millionths: millionths / 1e6)
WRITTEN_UNITS = [*UNITS, "us gal", "imp gal", "us pt", "imp fl oz"]


@given(number=NUMBERS, unit=st.sampled_from(WRITTEN_UNITS), decimal=st.sampled_from([".", ","]))
def test_every_printed_quantity_reads_back(number: float, unit: str, decimal: str) -> None:
    known = find_unit(unit)
    assert known is not None
    expects = Expects("a quantity", frozenset({known.dimension}), "1 kg", None, decimal)  # type: ignore[arg-type]
    found = read_quantity(write_quantity(number, unit, decimal), expects)  # type: ignore[arg-type]
    assert isinstance(found, Quantity)
    assert found.us == pytest.approx(number * known.us, rel=1e-12, abs=1e-12)
    assert found.imperial == pytest.approx(number * known.imperial, rel=1e-12, abs=1e-12)


@given(text=st.text(alphabet="0123456789½¼/.,~-–?<># lbozkgtspcumLFCBx%()", max_size=14))
def test_no_text_is_too_strange(text: str) -> None:
    for column in ("amount", "volume", "gravity", "temperature"):
        found = read_quantity(text, _expects(column))
        assert isinstance(found, Quantity | Fault)
        if isinstance(found, Quantity):
            assert abs(found.us) < 1e18


def test_an_unknown_unit_cannot_be_written() -> None:
    with pytest.raises(ValueError, match="a unit must be one of kg, g, mg"):
        write_quantity(1.0, "stone")
