"""Which cautions are due: what a command is about is put down as `Circumstances`.

Every caution of `CAUTIONS` whose trigger the circumstances meet is due, the gravest first.
"""

from collections.abc import Collection, Iterable
from typing import Any

from pipeline.advice.cautions.caution import Caution
from pipeline.advice.cautions.circumstances import Circumstances
from pipeline.advice.cautions.table import CAUTIONS
from pipeline.enology.carbonation import SAFE_SUGAR_G_L

__all__ = ["CAUTIONS", "Caution", "cautions_due", "cautions_for_must", "first_of_each"]


def cautions_due(now: Circumstances) -> list[Caution]:
    """Return what must be said in these circumstances, the gravest first.

    Parameters
    ----------
    now : Circumstances

    Returns
    -------
    list of Caution
    """
    return [caution for caution in CAUTIONS.values() if caution.is_due(now)]


def cautions_for_must(
    fruits: set[str],
    *,
    has_stone_fruit: bool,
    extraction: str | None,
    kinds: set[str],
    ripeness: Collection[str] = (),
    sugar_g_l: float | None = None,
    alcohol: float | None = None,
) -> list[Caution]:
    """Return what must be said beside a recipe that is to be made, the gravest first.

    Parameters
    ----------
    fruits : set of str
        Canonical names of what goes in.
    has_stone_fruit : bool
        Whether any of it has a stone.
    extraction : str or None
        As in batches.csv; None is not known.
    kinds : set of str
        Kinds of addition (additions.csv).
    ripeness : collection of str
        Of the fruit (additions.csv).
    sugar_g_l : float or None
        Sugar that the finished wine is to have, or is expected to keep [g/L].
    alcohol : float or None
        Strength that is expected [% vol].

    Returns
    -------
    list of Caution
    """
    is_sweet = (sugar_g_l or 0.0) > SAFE_SUGAR_G_L
    return cautions_due(
        Circumstances(
            fruits=fruits,
            has_stone_fruit=has_stone_fruit,
            extraction=extraction,
            # A wine that is to keep sugar is to be stabilised, which takes both.
            kinds=kinds | ({"sulphite", "sorbate"} if is_sweet else set()),
            ripeness=ripeness,
            sugar_g_l=sugar_g_l,
            wanted_alcohol=alcohol,
            steps=steps_of_making(fruits, extraction),
        )
    )


def steps_of_making(fruits: Collection[str], extraction: str | None) -> set[str]:
    """Return what somebody does who makes a wine of these fruits."""
    steps = {"make", "ferment"}
    if fruits:
        steps.add("pulp")
    if extraction is None and any("elderberry" in fruit for fruit in fruits):
        # Elderberries that nothing says were heated are to be heated, and what is hot scalds.
        steps.add("heat")
    return steps


def first_of_each(found: Iterable[dict[str, Any] | str]) -> list[dict[str, Any] | str]:
    """Return cautions of several answers together, each once, in the order of the table."""
    texts = {_text(caution): caution for caution in found}
    order = {caution.as_text(): at for at, caution in enumerate(CAUTIONS.values())}
    return sorted(texts.values(), key=lambda caution: order.get(_text(caution), len(order)))


def _text(caution: dict[str, Any] | str) -> str:
    return caution if isinstance(caution, str) else str(caution["text"])
