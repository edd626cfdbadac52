"""How each kind of cell is read: one small function for one text, applied column by column."""

import difflib
import re
from collections.abc import Callable, Sequence
from datetime import datetime, time

import polars as pl

from pipeline.logbook.contract import CellKind, Column
from pipeline.logbook.dates import DateOrder, read_date
from pipeline.logbook.distinct import ReadColumn, no_faults, read_distinct
from pipeline.logbook.numerals import Decimal, read_number, tidy
from pipeline.logbook.problems import Fault
from pipeline.logbook.quantity import Expects, Quantity, read_quantity
from pipeline.logbook.settings import Settings
from pipeline.logbook.units import UNITS, Dimension, Unit

_FLOAT, _TEXT, _FLAG, _DAY = pl.Float64(), pl.String(), pl.Boolean(), pl.Date()
_MOMENT = pl.Datetime("us")
_SCORE_SCALE = re.compile(r"([0-9.,]+) ?(?:/|out of|of) ?([0-9]+)", re.IGNORECASE)
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


class _Kind:
    """What a column of quantities expects."""

    def __init__(self, noun: str, dimensions: str, example: str, bare: str | None = None) -> None:
        self.noun = noun
        self.dimensions: frozenset[Dimension] = frozenset(dimensions.split())  # type: ignore[arg-type]
        self.example = example
        self.bare = UNITS[bare] if bare else None

    def expects(
        self, heading: Unit | None, decimal: Decimal, *, may_be_mark: bool = False
    ) -> Expects:
        bare = heading if heading and heading.dimension in self.dimensions else self.bare
        example = self.example if decimal == "." else self.example.replace(".", ",")
        return Expects(self.noun, self.dimensions, example, bare, decimal, may_be_mark)


_QUANTITIES: dict[CellKind, _Kind] = {
    "amount": _Kind("an amount", "mass volume count", "2 lb or 900 g"),
    "volume": _Kind("a volume", "volume", "4.5 L or 1 gal"),
    "gravity": _Kind("a gravity", "gravity brix", "1.082 or 22.5 Bx", "SG"),
    "temperature": _Kind("a temperature", "celsius fahrenheit", "20 C or 68 F"),
    "acidity": _Kind("an acidity", "concentration percent", "6.1 or 6.1 g/L", "g/L"),
    "sulphite": _Kind("free sulphur dioxide", "concentration", "28 or 28 mg/L", "mg/L"),
    "sugar": _Kind("sugar", "concentration percent", "20 or 20 g/L", "g/L"),
}
_SCALES: dict[CellKind, float] = {"acidity": 1.0, "sugar": 1.0, "sulphite": 1e3}


def read_cells(
    cells: pl.Series, column: Column, heading: Unit | None, settings: Settings
) -> ReadColumn:
    """Read one column.

    Parameters
    ----------
    cells : polars.Series
        Text without outer blanks; null where the cell is blank.
    column : Column
        What the contract says of it.
    heading : Unit, optional
        The unit its heading says.
    settings : Settings
        Date order and decimal mark.

    Returns
    -------
    ReadColumn
        Values under the names of the typed contract; quantities that depend on the gallon, the
        ingredient or the scale still in their parts.
    """
    match column.kind:
        case "text" | "id":
            return ReadColumn(cells.alias(column.name).to_frame(), no_faults())
        case "name":
            return _names(cells, column)
        case "day" | "moment":
            return _dates(cells, column, settings.dates)
        case "choice" | "form" | "faults" | "yes_no":
            return _words(cells, column)
        case "number" | "score":
            return _numbers(cells, column, settings.decimal)
        case _:
            return _quantities(cells, column, heading, settings.decimal)


def _names(cells: pl.Series, column: Column) -> ReadColumn:
    name = cells.str.replace_all(r"\s+", " ")
    if column.name == "ingredient":
        name = name.str.to_lowercase()
    return ReadColumn(name.alias(column.name).to_frame(), no_faults())


def _dates(cells: pl.Series, column: Column, order: DateOrder | None) -> ReadColumn:
    def read(text: str) -> Sequence[object] | Fault:
        found = read_date(text, order)
        if isinstance(found, Fault):
            return found
        day, clock = found
        return datetime.combine(day, clock or time()), day, clock is not None

    stem = column.name.removesuffix("_on")
    if column.kind == "day":
        both = read_distinct(cells, read, {"at": _MOMENT, column.name: _DAY, "has": _FLAG})
        return ReadColumn(both.values.select(column.name), both.faults)
    return read_distinct(
        cells, read, {f"{stem}_at": _MOMENT, f"{stem}_on": _DAY, "has_time": _FLAG}
    )


def _words(cells: pl.Series, column: Column) -> ReadColumn:
    readers: dict[str, tuple[Callable[[str, Column], Sequence[object] | Fault], dict]] = {
        "choice": (_choice, {column.name: _TEXT}),
        "form": (_form, {"form": _TEXT, "is_frozen": _FLAG}),
        "faults": (_fault_list, {"faults": _TEXT}),
        "yes_no": (_yes_no, {f"is_{column.name}": _FLAG}),
    }
    read, fields = readers[column.kind]
    return read_distinct(cells, lambda text: read(text, column), fields)


def _choice(text: str, column: Column) -> Sequence[object] | Fault:
    word = tidy(text).lower()
    return (word,) if word in column.choices else _not_a_choice(word, column)


def _not_a_choice(word: str, column: Column) -> Fault:
    close = difflib.get_close_matches(word, column.choices, n=1, cutoff=0.6)
    return Fault(
        "choice",
        f"{column.name} must be one of {', '.join(column.choices)}",
        close[0] if close else None,
    )


def _form(text: str, column: Column) -> Sequence[object] | Fault:
    words = tidy(text).lower().split(" ")
    is_frozen = len(words) > 1 and words[-1] == "frozen"
    form = " ".join(words[:-1] if is_frozen else words)
    if form in column.choices:
        return form, is_frozen
    others = [word for word in words if word != "frozen"]
    if "frozen" in words and (not others or others[0] in column.choices):
        return Fault(
            "choice",
            f"form must be one of {', '.join(column.choices)}, with 'frozen' after it if it was",
            f"{others[0] if others else 'whole'} frozen",
        )
    return _not_a_choice(form, column)


def _fault_list(text: str, column: Column) -> Sequence[object] | Fault:
    words = [word for word in (tidy(part).lower() for part in text.split(";")) if word]
    for word in words:
        if word not in column.choices:
            fault = _not_a_choice(word, column)
            return fault._replace(
                message=f"faults must be a list separated by ; from {', '.join(column.choices)}"
            )
    return ("; ".join(words),)


def _yes_no(text: str, column: Column) -> Sequence[object] | Fault:
    word = tidy(text).lower()
    if word in ("yes", "no"):
        return (word == "yes",)
    meant = "yes" if word[:1] in ("y", "t", "1") else "no"
    return Fault("choice", f"{column.name} must be yes or no", meant)


def _numbers(cells: pl.Series, column: Column, decimal: Decimal) -> ReadColumn:
    def read(text: str) -> Sequence[object] | Fault:
        plain = tidy(text)
        value = read_number(plain, decimal)
        if value is not None and not re.fullmatch(r"-?[0-9]+/[0-9]+", plain):
            return (value,)
        return _not_a_number(plain, column, decimal)

    return read_distinct(cells, read, {column.name: _FLOAT})


def _not_a_number(text: str, column: Column, decimal: Decimal) -> Fault:
    if column.kind == "score" and (match := _SCORE_SCALE.fullmatch(text)):
        return Fault(
            "score-scale",
            f"this names a scale out of {match[2]}; the logbook has one scale, and scores are "
            "never rescaled",
            "score it again on the logbook's scale, or leave the cell empty",
        )
    bare = re.search(r"[0-9]+(?:[.,][0-9]+)?", text)
    is_one_number = bare is not None and len(re.findall(r"[0-9]+(?:[.,][0-9]+)?", text)) == 1
    return Fault(
        "number",
        f"{column.name} must be a bare number",
        bare[0].replace("," if decimal == "." else ".", decimal)
        if bare and is_one_number
        else None,
    )


def _quantities(
    cells: pl.Series, column: Column, heading: Unit | None, decimal: Decimal
) -> ReadColumn:
    kind = _QUANTITIES[column.kind]
    expects = kind.expects(heading, decimal, may_be_mark=column.kind == "amount")

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
