"""A change to a recipe, and a recipe's lines with changes made."""

from __future__ import annotations

import dataclasses
from collections.abc import Sequence
from dataclasses import dataclass
from typing import Any

import polars as pl


@dataclass(frozen=True, eq=False)
class Edit:
    """One change to a recipe; an edit equals only itself.

    Parameters
    ----------
    line : int or None
        Line in recipes.csv; None for something new.
    kind, ingredient : str
        Of that line; for what concerns the whole recipe, kind is ``recipe``.
    field : str
        The contract's column.
    before, after : str
        As a maker would write them.
    after_si : float or None
        `after` as a number in SI.
    cells : dict
        Typed cells that change in that line, or in every line where `line` is None.
    row : dict or None
        The new line, where one is added.
    """

    line: int | None
    kind: str
    ingredient: str | None
    field: str
    before: str
    after: str
    after_si: float | None = None
    cells: dict[str, Any] = dataclasses.field(default_factory=dict)
    row: dict[str, Any] | None = None

    @property
    def place(self) -> tuple[int | None, str, str | None]:
        """What the edit touches; two edits of one place exclude each other."""
        return (self.line, self.field, self.kind if self.row else None)


def apply_edits(lines: pl.DataFrame, edits: Sequence[Edit], name: str) -> pl.DataFrame:
    """Return a recipe's lines with the edits made, under a new name."""
    return apply_sets(lines, [edits], [name])


def apply_sets(
    lines: pl.DataFrame, sets: Sequence[Sequence[Edit]], names: Sequence[str]
) -> pl.DataFrame:
    """Return a recipe's lines once for each set of edits, all in one frame.

    Parameters
    ----------
    lines : polars.DataFrame
        The recipe's rows of `staged_recipes`.
    sets : sequence of sequence of Edit
    names : sequence of str
        What each changed recipe is called.
    """
    plain = lines.to_dicts()
    every = zip(sets, names, strict=True)
    rows = [row for edits, name in every for row in _made(plain, edits, name)]
    columns = {column: [row[column] for row in rows] for column in lines.columns}
    return pl.DataFrame(columns, schema=lines.schema)


def _made(plain: list[dict[str, Any]], edits: Sequence[Edit], name: str) -> list[dict[str, Any]]:
    rows = [row | {"recipe": name} for row in plain]
    for edit in edits:
        if edit.row is not None:
            rows.append(edit.row | {"recipe": name})
            continue
        for row in rows:
            if edit.line is None or row["line"] == edit.line:
                row.update(edit.cells)
    return rows
