"""What a maker wants whatever is changed: strength, a full vessel, a price, things to be kept."""

from __future__ import annotations

from collections.abc import Callable, Sequence
from dataclasses import dataclass
from typing import Any

from pipeline.advice.edits import Edit
from pipeline.errors import HedgerowError
from pipeline.logbook.numerals import Decimal, read_number

# Word for --keep: whether an edit changes that.
KEPT: dict[str, Callable[[Edit], bool]] = {
    "fruit": lambda edit: edit.kind == "fruit" and edit.field == "amount",
    "sugar": lambda edit: edit.kind in ("sugar", "honey"),
    "water": lambda edit: edit.kind == "water",
    "skins": lambda edit: edit.field == "skins",
    "form": lambda edit: edit.field == "form",
    "days": lambda edit: edit.field == "removed_day",
    "yeast": lambda edit: edit.kind == "yeast",
    "sweetness": lambda edit: edit.field == "sweeten_to",
    "temperature": lambda edit: edit.field == "ferment_temperature",
    "acid": lambda edit: edit.kind == "acid",
    "tannin": lambda edit: edit.kind == "tannin",
    "nutrient": lambda edit: edit.kind == "nutrient",
    "enzyme": lambda edit: edit.kind == "enzyme",
}
STRENGTHS = (0.0, 20.0)  # [% vol] between which somebody can mean it
FULLEST = 2.0  # of the target; more is a slip


@dataclass(frozen=True)
class Wanted:
    """What a maker wants whatever is changed; None is left to the program.

    Parameters
    ----------
    strength : (float, float) or None
        Lowest and highest [% vol]; by default what the recipe has, one either way.
    cost_per_bottle : float or None
        The most a bottle may cost.
    full : float or None
        Share of the target that must be finished; by default 0.95, or as full as the recipe
        makes it where that is less.
    keep : frozenset of str
        What is not to be changed, by the words of `KEPT`.
    """

    strength: tuple[float, float] | None = None
    cost_per_bottle: float | None = None
    full: float | None = None
    keep: frozenset[str] = frozenset()

    def allows(self, edit: Edit) -> bool:
        """Tell whether an edit leaves alone what is to be kept."""
        return not any(KEPT[word](edit) for word in self.keep)


def read_wanted(options: dict[str, Any], decimal: Decimal | None = None) -> Wanted:
    """Read what was typed after --strength, --cost-per-bottle, --full and --keep.

    Parameters
    ----------
    options : dict
        ``strength``, ``cost_per_bottle`` and ``full`` as typed, or None; ``keep``: words, or None.
    decimal : {".", ","} or None
        How the logbook writes decimals.

    Returns
    -------
    Wanted

    Raises
    ------
    HedgerowError
        If an option cannot be read or lies outside what can be meant.
    """
    point = decimal or "."
    cost = options.get("cost_per_bottle")
    full = options.get("full")
    return Wanted(
        strength=_strength(options.get("strength"), point),
        cost_per_bottle=None if cost is None else _number("--cost-per-bottle", cost, "1.50", point),
        full=None if full is None else _full(full, point),
        keep=_keep(options.get("keep") or ()),
    )


def _number(option: str, text: str, such_as: str, decimal: Decimal) -> float:
    found = read_number(text, decimal)
    if found is None or found <= 0:
        raise HedgerowError(f"{option} must be a number such as {such_as}, got {text!r}.")
    return found


def _strength(text: str | None, decimal: Decimal) -> tuple[float, float] | None:
    if text is None:
        return None
    plain = text.replace("%", "").replace("–", "-").replace(" to ", "-")
    ends = [read_number(part.strip(), decimal) for part in plain.split("-")]
    known = [end for end in ends if end is not None]
    if len(ends) != 2 or len(known) != 2:
        raise HedgerowError(
            f"--strength must be the lowest and the highest strength, such as 11-13, got {text!r}."
        )
    low, high = known
    if not STRENGTHS[0] <= low < high <= STRENGTHS[1]:
        raise HedgerowError(
            f"--strength must rise and lie between {STRENGTHS[0]:g} and {STRENGTHS[1]:g} % vol, "
            f"got {text!r}."
        )
    return low, high


def _full(text: str, decimal: Decimal) -> float:
    share = _number("--full", text.replace("%", "").strip(), "95", decimal) / 100
    if share > FULLEST:
        raise HedgerowError(
            f"--full is the share of the volume aimed at, in %, such as 95, got {text!r}."
        )
    return share


def _keep(words: Sequence[str]) -> frozenset[str]:
    unknown = [word for word in words if word.lower() not in KEPT]
    if unknown:
        raise HedgerowError(f"--keep does not know '{unknown[0]}'. It takes: {', '.join(KEPT)}.")
    return frozenset(word.lower() for word in words)
