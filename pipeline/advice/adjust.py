"""A recipe as the maker would rather have it: some changes taken, some amounts typed, predicted."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from typing import Any

import polars as pl

from pipeline.advice.edits import Edit, apply_edits
from pipeline.advice.predict import planned, predict
from pipeline.advice.suggest import look
from pipeline.advice.suggest.reasons import as_change
from pipeline.advice.suggest.wanted import Wanted
from pipeline.cellar import Cellar
from pipeline.cellar.plan import plan_musts
from pipeline.errors import LogbookError
from pipeline.learning import Models
from pipeline.logbook.recipe_rows import read_recipe_rows

_SIZE = ("amount", "amount_kg", "amount_l", "amount_error", "is_to_mark")


def answer(
    cellar: Cellar,
    models: Models,
    recipe: str,
    taken: Sequence[int],
    amounts: Mapping[int, str],
) -> dict[str, Any]:
    """Predict a planned recipe as it stands and as the maker would have it.

    Parameters
    ----------
    cellar : Cellar
    models : Models
    recipe : str
        Name as in recipes.csv.
    taken : sequence of int
        Which of the suggested changes are made, by their place in `suggest`.
    amounts : mapping of int to str
        By the line in recipes.csv, another amount as the maker would write it; where a suggested
        change touches that line too, what was typed holds.

    Returns
    -------
    dict
        ``recipe``; ``before`` and ``after``, each as of `hedgerow predict`; ``changes``: what was
        made, as `hedgerow suggest` prints a change, without its effect.

    Raises
    ------
    UnknownNameError
        If recipes.csv has no such recipe.
    LogbookError
        If an amount cannot be read.
    """
    plans = planned(cellar, [recipe])
    lines = cellar.table("staged_recipes").filter(pl.col("recipe") == recipe)
    typed = [_typed_edit(cellar, row, amounts) for row in lines.iter_rows(named=True)]
    edits = [*_taken(cellar, models, recipe, taken), *(edit for edit in typed if edit is not None)]
    name = f"{recipe}, changed"
    changed = apply_edits(lines, edits, name)
    after = plan_musts(changed, cellar.settings()["bottle_l"])
    (before,) = predict(cellar, models, plans, lines)
    (then,) = predict(cellar, models, after, changed)
    changes = [as_change(edit) for edit in edits]
    return {"recipe": recipe, "before": before, "after": then, "changes": changes}


def _taken(cellar: Cellar, models: Models, recipe: str, taken: Sequence[int]) -> list[Edit]:
    if not taken:
        return []
    (found,) = look(cellar, models, [recipe], Wanted())
    changes = found.best.sets[found.row]
    return [changes[at] for at in sorted(taken) if at < len(changes)]


def _typed_edit(cellar: Cellar, row: dict[str, Any], amounts: Mapping[int, str]) -> Edit | None:
    """Return the change that an amount typed for a line is; None if it is the one that stands."""
    text = amounts.get(row["line"], "").strip()
    if text in ("", row["amount"]):
        return None
    size = _read(cellar, row["line"], text)
    cost = {"cost": _cost(row, size)} if row["cost"] else {}
    kilos_or_litres = size["amount_l"] if size["amount_kg"] is None else size["amount_kg"]
    return Edit(
        row["line"],
        row["kind"],
        row["ingredient"],
        "amount",
        row["amount"],
        text,
        kilos_or_litres,
        size | cost,
    )


def _read(cellar: Cellar, line: int, text: str) -> dict[str, Any]:
    """Read an amount as the check of recipes.csv would."""
    raw = cellar.table("raw_recipes").filter(pl.col("line") == line).row(0, named=True)
    cells = {name: cell for name, cell in raw.items() if isinstance(cell, str)} | {"amount": text}
    typed, problems = read_recipe_rows(cellar.path.parents[1], [cells])
    if typed.is_empty():
        said = problems.row(0, named=True)
        instead = f" Instead: {said['hint']}." if said["hint"] else ""
        raise LogbookError(f"'{text}' cannot be read: {said['message']}.{instead}")
    return typed.select(_SIZE).row(0, named=True)


def _cost(row: dict[str, Any], size: dict[str, Any]) -> float | None:
    """Return what the new amount costs at the old one's price; None where they do not compare."""
    for column in ("amount_kg", "amount_l"):
        if row[column] and size[column] is not None:
            return row["cost"] * size[column] / row[column]
    return None
