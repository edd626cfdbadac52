"""A blind tasting of two wines: how to pour it, what would be more than guessing, the verdict."""

from typing import Any

import polars as pl

from pipeline.advice.cautions import cautions_due
from pipeline.advice.cautions.circumstances import Circumstances
from pipeline.advice.tasting.order import serving_order
from pipeline.advice.tasting.power import (
    ALPHA,
    POWER,
    chance_to_see,
    compare_scores,
    tastings_needed,
)
from pipeline.cellar import Cellar
from pipeline.enology.sensory import Test, hits_needed, p_value
from pipeline.errors import HedgerowError

SHARES = (0.25, 0.5, 0.75)  # of answers from somebody who truly tells the wines apart
_MOST_TASTERS = 200


def answer(
    cellar: Cellar,
    batches: tuple[str, str],
    test: Test = "triangle",
    *,
    tasters: int = 12,
    hits: int | None = None,
    seed: int = 1,
) -> dict[str, Any]:
    """Lay out a tasting, or judge one that was held.

    Parameters
    ----------
    cellar : Cellar
    batches : tuple of str
        The two wines, A and B.
    test : {'triangle', 'paired', 'preference'}
    tasters : int
        Answers, 1 to 200.
    hits : int, optional
        Right answers (triangle, paired) or votes for A (preference), once it is held.
    seed : int
        Of the serving order.

    Returns
    -------
    dict
        ``a``, ``b``, ``test``, ``tasters``, ``seed``, ``serving``, ``hits_needed``, ``power``,
        ``tastings_needed``, ``verdict`` (null until held), ``scores`` (what logged scores say),
        ``doubts``, ``cautions``, ``next_step``.

    Raises
    ------
    UnknownNameError
        If the logbook has no such batch.
    HedgerowError
        If the numbers are impossible.
    """
    for batch in batches:
        cellar.batch(batch)
    _check(batches, tasters, hits)
    return {
        "a": batches[0],
        "b": batches[1],
        "test": test,
        "tasters": tasters,
        "seed": seed,
        "serving": serving_order(test, tasters, seed),
        "hits_needed": hits_needed(test, tasters, ALPHA),
        "power": [
            {
                "share_who_can_tell": share,
                "chance_to_see": chance_to_see(test, tasters, share),
                "tastings_needed": tastings_needed(test, share),
            }
            for share in SHARES
        ],
        "power_wanted": POWER,
        "verdict": None if hits is None else _verdict(test, tasters, hits),
        "scores": compare_scores(*(_scores(cellar, batch) for batch in batches)),
        "doubts": [],
        "cautions": [
            caution.as_dict() for caution in cautions_due(Circumstances(steps=("drink",)))
        ],
        "next_step": _next_step(test, tasters, hits),
    }


def _check(batches: tuple[str, str], tasters: int, hits: int | None) -> None:
    if batches[0] == batches[1]:
        raise HedgerowError(f"Two different batches are needed, got {batches[0]} twice.")
    if not 1 <= tasters <= _MOST_TASTERS:
        raise HedgerowError(f"--tasters must be between 1 and {_MOST_TASTERS}, got {tasters}.")
    if hits is not None and not 0 <= hits <= tasters:
        raise HedgerowError(
            f"--hits must be between 0 and the number of tasters, {tasters}, got {hits}."
        )


def _verdict(test: Test, tasters: int, hits: int) -> dict[str, Any]:
    chance = p_value(test, tasters, hits)
    return {"hits": hits, "chance_by_guessing": chance, "is_apart": chance <= ALPHA}


def _scores(cellar: Cellar, batch: str) -> list[float]:
    glasses = cellar.table("glasses").filter(
        (pl.col("batch_id") == batch) & pl.col("score").is_not_null()
    )
    return glasses["score"].to_list()


def _next_step(test: Test, tasters: int, hits: int | None) -> str:
    if hits is not None:
        return "Write the scores of this tasting into tastings.csv with blind = yes."
    if hits_needed(test, tasters, ALPHA) is None:
        return "So few answers can prove nothing: ask more people, or the same ones again."
    return (
        "Let somebody who does not taste pour and keep the key; same glasses, same warmth, same "
        "amount, no talking until all have answered."
    )
