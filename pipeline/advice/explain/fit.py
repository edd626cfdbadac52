"""How the numbers of `fit` came about: which batches were held out, and what was made of them."""

from __future__ import annotations

from typing import Any

from pipeline.advice.explain.asked import Asked
from pipeline.advice.explain.forecast import METHODS
from pipeline.advice.explain.numbers import Number
from pipeline.advice.explain.plain import Way
from pipeline.advice.trace import Step
from pipeline.advice.trace.sources import ARITHMETIC
from pipeline.learning.heldout import batches_tried
from pipeline.learning.models import read_frames

_TRIED = {"": "recipes never seen", "next_season": "seasons to come"}
_MODEL = {"score": "taste", "harshness": "taste"}  # the fitted model, where it is called otherwise
# Number of a trial: how it is made of the errors, one for each batch held out.
_HOW = {
    "mae": "mean",
    "rmse": "root mean square",
    "coverage_90": "share inside",
    "width_90": "mean width",
}
_GUESSES = {
    "same_fruit": "the mean of the same fruit",
    "global": "the mean of all batches",
    "boosting": "boosted trees",
}
_UNITS = {"volume": "share 0–1", "gravity": "SG", "score": "points", "harshness": "0–10"}


def _of(number: Number) -> str:
    """Return what a number of a trial is of: the model, and what it was asked to predict."""
    return f"{number.keys[1]}, {_TRIED['next_season' if 'next_season' in number.keys else '']}"


def _step(number: Number, **told: Any) -> list[Step]:
    said = {"source": f"{METHODS}: Held out", "by": "learning.heldout", "unit": "", **told}
    return [number.as_answer(Step(_of(number), value=number.single, **said))]


def _count(asked: Asked, number: Number) -> list[Step]:
    """Trace how many batches a model was tried on: which, by name."""
    when = "next_season" if "next_season" in number.keys else "recipes"
    names = _tried(asked)[str(number.keys[1])][when]
    rests_on = {"batches": int(number.single), "closest": [], "all": names}
    return _step(number, measure="batches", unit="batches", how="count", rests_on=rests_on)


def _tried(asked: Asked) -> dict[str, dict[str, list[str]]]:
    return asked.once(
        ("batches tried",), lambda: batches_tried(read_frames(asked.cellar), asked.learnt)
    )


def _error(_: Asked, number: Number) -> list[Step]:
    """Trace an error of a model, over the batches held out."""
    unit = "share 0–1" if number.name == "coverage_90" else _UNITS[str(number.keys[1])]
    return _step(number, measure=number.name, unit=unit, how=_HOW[number.name], uses=("batches",))


def _baseline(_: Asked, number: Number) -> list[Step]:
    """Trace the error of a simple guess about the same batches."""
    unit, by = _UNITS[str(number.keys[1])], "learning.heldout.baselines"
    measure = f"mae of {_GUESSES[number.name]}"
    return _step(number, measure=measure, unit=unit, how="mean", by=by, uses=("batches",))


def _best_baseline(_: Asked, number: Number) -> list[Step]:
    """Trace the error of the best simple guess: the smallest of them."""
    guesses = next(part for part in reversed(number.around) if "baselines" in part)["baselines"]
    uses = [f"mae of {_GUESSES[name]}" for name, error in guesses.items() if error is not None]
    unit = _UNITS[str(number.keys[1])]
    return _step(number, measure=number.name, unit=unit, how="smallest", uses=uses)


def _variance(asked: Asked, number: Number) -> list[Step]:
    """Trace how much a group of effects varies: estimated with the model itself."""
    name = str(number.keys[1])
    model = _MODEL.get(name, name)
    asked.used.add(model)
    names = asked.taught_by[model]
    return _step(
        number,
        measure=f"variance of {number.name}",
        how="learnt",
        by=f"learning.{model}",
        source=f"{METHODS}: Estimator",
        rests_on={"batches": len(names), "closest": [], "all": []},
    )


def _batches(asked: Asked, number: Number) -> list[Step]:
    """Trace how many batches there are, and how many of them were tried."""
    names = asked.cellar.table("batches")["batch_id"].to_list()
    is_all = number.name == "of"
    step = Step(
        of="the logbook",
        measure="batches" if is_all else "batches tried",
        value=number.single,
        unit="batches",
        how="count",
        by="sql/470_batches.sql" if is_all else "learning.heldout.splits",
        source=ARITHMETIC,
        rests_on={"batches": int(number.single), "closest": [], "all": names if is_all else []},
    )
    return [number.as_answer(step)]


# The first pattern that fits is taken.
FIT_WAYS: dict[str, Way] = {
    "tried.*": _batches,
    "models.*.variance.*": _variance,
    "models.*.baselines.*": _baseline,
    "models.*.baseline_mae": _best_baseline,
    "models.*.batches": _count,
    "models.*": _error,
}
