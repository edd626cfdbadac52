"""What an answer is about, as far as it can hurt somebody: what the cautions are chosen by."""

from collections.abc import Collection
from dataclasses import dataclass


@dataclass(frozen=True)
class Circumstances:
    """What an answer is about, as far as it can hurt somebody.

    Parameters
    ----------
    fruits : collection of str
        Canonical names of what goes in.
    has_stone_fruit : bool
        Whether any of it has a stone.
    extraction : str or None
        As in batches.csv; None is not known.
    kinds : collection of str
        Kinds of addition (additions.csv), those advised included.
    ripeness : collection of str
        Of the fruit (additions.csv).
    sugar_g_l : float or None
        Sugar that would be in the bottle [g/L], if it is known.
    is_unkept : bool
        It was bottled with sugar in it and not made safe.
    ph : float or None
        Of must or wine.
    wanted_alcohol : float or None
        Strength asked for [% vol].
    faults : collection of str
        As tasters named them (tastings.csv).
    steps : collection of str
        What somebody will do: `make`, `heat`, `ferment`, `pulp`, `bottle`, `jar`, `titrate`,
        `drink`.
    """

    fruits: Collection[str] = ()
    has_stone_fruit: bool = False
    extraction: str | None = None
    kinds: Collection[str] = ()
    ripeness: Collection[str] = ()
    sugar_g_l: float | None = None
    is_unkept: bool = False
    ph: float | None = None
    wanted_alcohol: float | None = None
    faults: Collection[str] = ()
    steps: Collection[str] = ()
