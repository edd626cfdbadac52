"""Which cells of the reference tables say what a kilogram or a litre of a thing brings."""

import csv
from functools import cache

from pipeline.cellar.fruit_reference import AVERAGE_FRUIT
from pipeline.cellar.origins import Cell
from pipeline.files import project_file
from pipeline.logbook.problems import Fault
from pipeline.logbook.quantity import Expects, read_quantity
from pipeline.reference import fruits

_ANY_AMOUNT = Expects("an amount", frozenset({"mass", "volume", "count"}), "2 lb")
_LIQUIDS = frozenset({"water", "juice"})

# Quantity: the columns of fruit.csv that say how much of it a fruit brings, the first that is
# filled in counts.
_OF_FRUIT = {
    "fruit_sugar_g": ("sugars_g_per_100g",),
    "fruit_starch_g": ("starch_g_per_100g",),
    "fruit_acid_g": ("titratable_acid_g_per_100g",),
    "fruit_liquid_l": ("water_g_per_100g",),
    "fruit_strained_l": ("juice_yield_fraction",),
    "juice_sugar_g": ("avg_brix_19cfr151_91", "min_brix_21cfr101_30"),
    "juice_acid_g": ("titratable_acid_g_per_100g",),
}
# Quantity: the column of additives.csv with its share, and the column with its source.
_OF_POWDER = {
    "sugar_g": ("sucrose_equivalent", "sucrose_equivalent_basis"),
    "acid_g": ("active_fraction", "active_basis"),
    "acid_removed_g": ("active_fraction", "active_basis"),
    "so2_g": ("active_fraction", "active_basis"),
    "sorbic_g": ("active_fraction", "active_basis"),
    "nitrogen_g": ("nitrogen_mg_per_g", "nitrogen_basis"),
}
_SPOON = ("grams_per_level_tsp", "tsp_source")


def brought_by(quantity: str, ingredient: str) -> list[Cell]:
    """Return the reference cells behind what a thing brings of a quantity.

    Parameters
    ----------
    quantity : str
        As in `must_sums`.
    ingredient : str
        Canonical name of a fruit, or key in additives.csv.

    Returns
    -------
    list of Cell
        Each with its source; empty where nothing but the amount counts. Of a fruit that the table
        does not know, one that says that the mean of the fresh fruits was taken.
    """
    if quantity in _OF_FRUIT:
        return [_of_fruit(ingredient, _OF_FRUIT[quantity])]
    if quantity in _OF_POWDER:
        return _of_powder(ingredient, *_OF_POWDER[quantity])
    return []


def weighed_by(kind: str, ingredient: str, amount: str | None) -> list[Cell]:
    """Return the cells that turned a spoon, packet or tablet into grams; empty for a weight.

    Parameters
    ----------
    kind, ingredient : str
        As in `contributions`.
    amount : str or None
        The cell as it was written.
    """
    # Of an amount that was changed or scaled, what it is now is written behind (`planned`).
    written = (amount or "").rpartition("changed to ")[2].partition(", times")[0]
    found = read_quantity(written, _ANY_AMOUNT) if written else None
    if found is None or isinstance(found, Fault):
        return []
    if found.piece is not None:
        return [Cell("logbook.toml", None, "counts", None)]
    is_spoon = found.dimension == "volume" and kind not in _LIQUIDS
    return _of_powder(ingredient, *_SPOON) if is_spoon else []


def spoon_of(additive: str) -> list[Cell]:
    """Return the cell that says what a level teaspoon of a powder weighs; empty if none does."""
    return _of_powder(additive, *_SPOON)


def trait_of(fruit: str, column: str) -> Cell:
    """Return a cell of fruit_traits.csv; of a fruit that is not in it, what is taken instead."""
    place = ("data", "reference", "fruit_traits.csv")
    line, row = _by_key("fruit_traits.csv", "fruit").get(fruit, (None, {}))
    written = row.get(column)
    source = "common practice, no source" if line else _taken(fruit)
    return Cell("/".join(place), line, column, written, source=source)


def _of_fruit(fruit: str, columns: tuple[str, ...]) -> Cell:
    composition = dict(fruits().select("fruit", "composition_of").iter_rows()).get(fruit)
    line, row = _by_key("fruit.csv", "fruit").get(composition or "", (None, {}))
    column = next((name for name in columns if row.get(name)), columns[0])
    written = row.get(column) or None
    source = row.get(f"{column}_source", "") if written else _taken(fruit)
    return Cell("data/reference/fruit.csv", line, column, written, source=source)


def _taken(fruit: str) -> str:
    if fruit == AVERAGE_FRUIT:
        return "mean of the fresh fruits in the table"
    return f"not in the table for {fruit}: the mean of the fresh fruits, or none in a flavouring"


def _of_powder(additive: str, column: str, source: str) -> list[Cell]:
    line, row = _by_key("additives.csv", "additive").get(additive, (None, {}))
    if line is None:
        return []
    written = row.get(column) or None
    if written is not None and float(written) == 1:
        return []  # a gram is a gram
    return [Cell("data/reference/additives.csv", line, column, written, source=row.get(source, ""))]


@cache
def _by_key(name: str, key: str) -> dict[str, tuple[int, dict[str, str]]]:
    """Return the rows of a reference table by their key, each with the line it begins on."""
    found: dict[str, tuple[int, dict[str, str]]] = {}
    with project_file("data", "reference", name).open(encoding="utf-8", newline="") as file:
        reader = csv.reader(file)
        headings = next(reader)
        begins = reader.line_num + 1
        for cells in reader:
            row = dict(zip(headings, cells, strict=True))
            found[row[key]] = (begins, row)
            begins = reader.line_num + 1
    return found
