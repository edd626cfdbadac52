"""The pandera schemas really check, on collected frames, and load without pandas."""

import subprocess
import sys
from pathlib import Path

import polars as pl
import pytest

import pipeline
from pipeline.logbook.contract import FILES
from pipeline.logbook.schemas import bounds_sentence, doubtful_rows, failures, schema
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


NO_NUMBERS = [
    (name, column, float("nan"))
    for name in FILES
    for column in TYPED[name]
    if column.dtype == pl.Float64 and (column.low is not None or column.high is not None)
]
OTHER_WORDS = [
    (name, column, "otherwise") for name in FILES for column in TYPED[name] if column.choices
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


UNREAD = pl.DataFrame(schema={"line": pl.Int64, "column": pl.String})


@pytest.mark.parametrize("name", FILES)
def test_every_row_that_fails_is_among_the_doubtful_ones_and_no_sound_one(name: str) -> None:
    """Only these reach pandera: one left out would go unchecked."""
    wrong: list[pl.DataFrame] = [
        _one_row(name, **{column.name: value})
        for file, column, value in [*BOUNDED, *NO_NUMBERS, *OTHER_WORDS]
        if file == name
    ]
    wrong += [
        _one_row(name).with_columns(pl.lit(None, dtype=column.dtype).alias(column.name))
        for column in TYPED[name]
        if column.is_required and column.source
    ]
    frame = pl.concat([one for bad in wrong for one in (_one_row(name), bad)])
    failed = failures(name, frame)["row"].unique().sort().to_list()
    assert failed
    assert set(failed) <= set(doubtful_rows(name, frame, UNREAD).to_list())
    assert not any(row % 2 == 0 for row in doubtful_rows(name, frame, UNREAD))


def test_a_cell_that_could_not_be_read_casts_no_doubt_on_its_row() -> None:
    frame = _one_row("readings").with_columns(
        pl.lit(None, dtype=pl.Date).alias("taken_on"),
        pl.lit(None, dtype=pl.Datetime("us")).alias("taken_at"),
    )
    unread = pl.DataFrame({"line": [2], "column": ["taken_on"]})
    assert doubtful_rows("readings", frame, UNREAD).to_list() == [0]
    assert doubtful_rows("readings", frame, unread).is_empty()
    also = frame.with_columns(ph=pl.lit(34.0))
    assert doubtful_rows("readings", also, unread).to_list() == [0]


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
