"""What was typed after --fill and --keep: the chance wanted, and what of a recipe is kept."""

from __future__ import annotations

from pipeline.advice.fill.ways import KEEPS, Keep
from pipeline.errors import HedgerowError
from pipeline.logbook.numerals import Decimal, read_number

CHANCES = (0.5, 0.99)  # between which somebody can mean it: surer than that no logbook is


def read_fill(
    fill: str | None, keep: str | None, decimal: Decimal | None = None
) -> tuple[float, Keep] | None:
    """Read what was typed after --fill and --keep.

    Parameters
    ----------
    fill : str or None
        The chance: ``80``, ``80 %`` or ``0.8``; None if no vessel is to be filled.
    keep : str or None
        What is kept; None for the usual.
    decimal : {".", ","} or None
        How the logbook writes decimals.

    Returns
    -------
    (float, str) or None
        The chance, 0 to 1, and a word of `KEEPS`.

    Raises
    ------
    HedgerowError
        If either cannot be read, or --keep stands alone.
    """
    if fill is None:
        if keep is not None:
            raise HedgerowError("--keep says how to fill a vessel: give --fill too.")
        return None
    number = read_number(fill.replace("%", "").strip(), decimal or ".")
    chance = None if number is None else number / 100 if number > 1 else number
    if chance is None or not CHANCES[0] <= chance <= CHANCES[1]:
        raise HedgerowError(
            f"--fill is the chance of a full vessel, {100 * CHANCES[0]:.0f} to "
            f"{100 * CHANCES[1]:.0f} %, such as 80, got {fill!r}."
        )
    return chance, _keep(keep)


def _keep(word: str | None) -> Keep:
    for known in KEEPS:
        if (word or KEEPS[0]).lower() == known:
            return known
    raise HedgerowError(f"--keep takes one of {', '.join(KEEPS)}, got {word!r}.")
