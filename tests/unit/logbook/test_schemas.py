"""The pandera schemas really check, on collected frames, and load without pandas."""

import subprocess
import sys
from pathlib import Path

import polars as pl
import pytest

import pipeline
from pipeline.logbook.contract import FILES
from pipeline.logbook.schemas import bounds_sentence, failures, schema
from pipeline.logbook.typed_contract import TYPED, TypedColumn, empty_frame

ROOT = Path(pipeline.__file__).parent.parent


def _one_row(name: str, **values: object) -> pl.DataFrame:
    """Return a row with a value in every required column."""
    sample = {pl.String(): "x", pl.Int64(): 2, pl.Float64(): 1.0}
    row = {
        column.name: [_valid(column, sample) if column.is_required else None]
        for column in TYPED[name]
    }
    frame = pl.DataFrame({key: pl.Series(cells) for key, cells in row.items()}, strict=False)
    frame = frame.cast(dict(empty_frame(name).schema))  # type: ignore[arg-type]
    return frame.with_columns(
        pl.Series(key, [value]).cast(frame.schema[key]) for key, value in values.items()
    )


def _valid(column: TypedColumn, sample: dict) -> object:
    from datetime import datetime

    if column.choices:
        return column.choices[0]
    return sample.get(column.dtype, datetime(2026, 1, 10))


@pytest.mark.parametrize("name", FILES)
def test_one_schema_per_file_in_the_form_of_the_typed_contract(name: str) -> None:
    assert list(schema(name).columns) == [column.name for column in TYPED[name]]
    assert failures(name, _one_row(name)).is_empty()
    assert failures(name, empty_frame(name)).is_empty()


BOUNDED = [
    (name, column, wrong)
    for name in FILES
    for column in TYPED[name]
    for wrong in (
        None if column.low is None else column.low - (0 if column.is_above else 0.001),
        None if column.high is None else column.high + 0.001,
    )
    if wrong is not None
]


@pytest.mark.parametrize(("name", "column", "wrong"), BOUNDED)
def test_a_value_out_of_bounds_fails(name: str, column: TypedColumn, wrong: float) -> None:
    found = failures(name, _one_row(name, **{column.name: wrong}))
    assert found.select("row", "typed").rows() == [(0, column.name)]


@pytest.mark.parametrize("name", FILES)
def test_a_missing_value_fails_where_one_is_required(name: str) -> None:
    for column in TYPED[name]:
        frame = _one_row(name).with_columns(pl.lit(None, dtype=column.dtype).alias(column.name))
        found = failures(name, frame)
        assert found.select("typed", "check").rows() == (
            [(column.name, "not_nullable")] if column.is_required else []
        )


def test_a_number_that_is_none_is_out_of_bounds() -> None:
    found = failures("readings", _one_row("readings", gravity_sg=float("nan")))
    assert "gravity_sg" in found["typed"].to_list()


def test_a_frame_must_be_collected_to_be_checked() -> None:
    """Guards the reason why frames are collected: a lazy frame is checked for its types only."""
    bad = _one_row("readings", gravity_sg=1090.0)
    assert failures("readings", bad).height == 1
    schema("readings").validate(bad.lazy(), lazy=True)


def test_all_failures_are_found_at_once() -> None:
    frame = pl.concat([_one_row("readings", gravity_sg=1090.0, ph=34.0, temperature_c=300.0)] * 2)
    found = failures("readings", frame)
    assert sorted(found.select("row", "typed").rows()) == [
        (row, column) for row in (0, 1) for column in ("gravity_sg", "ph", "temperature_c")
    ]


@pytest.mark.parametrize(
    ("name", "column", "sentence"),
    [
        ("readings", "gravity_sg", "a specific gravity must be between 0.980 and 1.200"),
        ("readings", "ph", "ph must be between 2 and 5"),
        ("additions", "amount_kg", "an amount must be more than 0 and at most 10000 kg"),
        ("additions", "cost", "cost must be 0 or more"),
    ],
)
def test_sentences(name: str, column: str, sentence: str) -> None:
    typed = next(typed for typed in TYPED[name] if typed.name == column)
    assert bounds_sentence(typed) == sentence


LOADS = """
import sys
import polars as pl
from pipeline.logbook.schemas import failures
from pipeline.logbook.typed_contract import empty_frame

bad = pl.DataFrame({"gravity_sg": [1090.0]})
frame = pl.concat([empty_frame("readings"), bad], how="diagonal")
lean = failures("readings", frame)
for name in ("pandas", "hypothesis"):
    assert name not in sys.modules, f"{name} was loaded"
import hypothesis, pandas
assert failures("readings", frame).equals(lean)
assert "gravity_sg" in lean["typed"].to_list()
assert not [finder for finder in sys.meta_path if type(finder).__module__.startswith("pipeline")]
"""


def test_pandera_works_without_pandas_and_after_it() -> None:
    subprocess.run([sys.executable, "-W", "error", "-c", LOADS], cwd=ROOT, check=True, timeout=120)
