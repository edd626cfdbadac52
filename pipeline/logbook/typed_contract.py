"""The checked frames as data: which columns each has, of which type, and within which bounds.

One row of a typed frame is one loaded row of its file. Null means unknown or not given. Names end
in their unit; `*_error` is a relative half-width (0.10 = ±10 %).
"""

from typing import NamedTuple

import polars as pl

from pipeline.logbook.contract import FILES, Column

LIGHTEST_GRAVITY, HEAVIEST_GRAVITY = 0.980, 1.200
MOST_AT_ONCE = 10_000.0  # [kg or L] of one thing; more is no household's but a slip of the hand


class TypedColumn(NamedTuple):
    """One column of a checked frame.

    `source` is the contract's column it is read from; `low` and `high` bound it, and `is_above`
    says that `low` itself is out. `speaks_of` begins the sentence when it is out of bounds.
    """

    name: str
    dtype: pl.DataType
    source: str | None = None
    is_required: bool = False
    low: float | None = None
    high: float | None = None
    is_above: bool = False
    choices: tuple[str, ...] = ()
    speaks_of: str = ""


_TEXT, _REAL, _DAY, _FLAG = pl.String(), pl.Float64(), pl.Date(), pl.Boolean()
_MOMENT = pl.Datetime("us")


def _plain(source: Column, name: str, dtype: pl.DataType) -> TypedColumn:
    return TypedColumn(
        name,
        dtype,
        source.name,
        source.is_required,
        source.low,
        source.high,
        source.is_above,
        () if source.kind in ("form", "faults") else source.choices,
        f"{source.name} must be",
    )


def _above_zero(name: str, source: str, speaks_of: str) -> TypedColumn:
    return TypedColumn(
        name, _REAL, source, low=0, high=MOST_AT_ONCE, is_above=True, speaks_of=speaks_of
    )


def _amount() -> tuple[TypedColumn, ...]:
    return (
        TypedColumn("amount", _TEXT, "amount", is_required=True),
        _above_zero("amount_kg", "amount", "an amount must be"),
        _above_zero("amount_l", "amount", "an amount must be"),
        TypedColumn("amount_error", _REAL),
        TypedColumn("is_to_mark", _FLAG),
    )


def _gravity() -> tuple[TypedColumn, ...]:
    return (
        TypedColumn(
            "gravity_sg",
            _REAL,
            "gravity",
            low=LIGHTEST_GRAVITY,
            high=HEAVIEST_GRAVITY,
            speaks_of="a specific gravity must be",
        ),
        TypedColumn("gravity_brix", _REAL, "gravity", low=-5, high=60, speaks_of="Brix must be"),
    )


def _volume(column: Column) -> tuple[TypedColumn, ...]:
    volume = _above_zero(f"{column.name}_l", column.name, "a volume must be")
    if column.name in ("target_volume", "topped_up"):
        return (volume,)
    return (volume, TypedColumn(f"{column.name}_error", _REAL))


def _moment(column: Column) -> tuple[TypedColumn, ...]:
    stem = column.name.removesuffix("_on")
    return (
        TypedColumn(f"{stem}_at", _MOMENT, column.name, is_required=True),
        TypedColumn(f"{stem}_on", _DAY, column.name, is_required=True),
        TypedColumn("has_time", _FLAG),
    )


_UNIT_NAMES = {
    "temperature": "c",
    "acidity": "g_l",
    "sugar": "g_l",
    "sulphite": "mg_l",
}


def _typed(column: Column) -> tuple[TypedColumn, ...]:
    match column.kind:
        case "moment":
            return _moment(column)
        case "amount":
            return _amount()
        case "gravity":
            return _gravity()
        case "volume":
            return _volume(column)
        case "day":
            return (_plain(column, column.name, _DAY),)
        case "form":
            return (_plain(column, "form", _TEXT), TypedColumn("is_frozen", _FLAG))
        case "yes_no":
            return (_plain(column, f"is_{column.name}", _FLAG),)
        case "number" | "score":
            return (_plain(column, column.name, _REAL),)
        case "temperature" | "acidity" | "sugar" | "sulphite":
            return (_plain(column, f"{column.name}_{_UNIT_NAMES[column.kind]}", _REAL),)
        case _:
            return (_plain(column, column.name, _TEXT),)


def _file(name: str) -> tuple[TypedColumn, ...]:
    columns: list[TypedColumn] = [TypedColumn("line", pl.Int64(), is_required=True)]
    for column in FILES[name]:
        columns.extend(_typed(column))
        if column.name == "ingredient":
            columns.append(TypedColumn("ingredient_key", _TEXT))
    return tuple(columns)


TYPED: dict[str, tuple[TypedColumn, ...]] = {name: _file(name) for name in FILES}


def empty_frame(name: str) -> pl.DataFrame:
    """Return a typed frame of a file without rows."""
    return pl.DataFrame(schema={column.name: column.dtype for column in TYPED[name]})


def in_contract_form(name: str, frame: pl.DataFrame) -> pl.DataFrame:
    """Return a frame with exactly the columns of the typed contract; those absent are null."""
    return frame.select(
        (
            pl.col(column.name) if column.name in frame.columns else pl.lit(None).alias(column.name)
        ).cast(column.dtype)
        for column in TYPED[name]
    )
