"""Every number of an answer, traced: from what was typed, through formulas and models, to it.

One table says which numbers of which answer are traced how; a test walks every number of every
answer and misses none.
"""

from __future__ import annotations

from collections.abc import Callable, Mapping, Sequence
from fnmatch import fnmatchcase
from typing import Any

from pipeline.advice.explain import batches, taste, volume, yeasts
from pipeline.advice.explain import forecast as forecasts
from pipeline.advice.explain.asked import Asked
from pipeline.advice.explain.bench_ways import BENCH_WAYS
from pipeline.advice.explain.fill import FILL_WAYS
from pipeline.advice.explain.fit import FIT_WAYS
from pipeline.advice.explain.numbers import Number, numbers_of
from pipeline.advice.explain.sheet import SHEET_WAYS
from pipeline.advice.explain.sticking import STICKING_WAYS
from pipeline.advice.explain.tasting import TASTING_WAYS, tasted
from pipeline.advice.explain.trial import TRIAL_WAYS
from pipeline.advice.trace import Step
from pipeline.cellar import Cellar
from pipeline.learning import Models

Way = Callable[[Asked, Number], list[Step]]

# Question: pattern of a number's place in its answer (list entries as []), and the way to it.
WAYS: dict[str, dict[str, Way]] = {
    "predict": {**STICKING_WAYS, **FILL_WAYS, "recipes[[]].*": forecasts.planned},
    "suggest": {
        **STICKING_WAYS,
        "before.*": forecasts.planned,
        "after.*": forecasts.planned,
        "changes[[]].effect.*": forecasts.changed,
        "changes[[]].line": batches.at_line,
        "changes[[]].to_si": batches.edited,
        "not_changed[[]].change.line": batches.at_line,
        "not_changed[[]].change.to_si": batches.edited,
        "limits[[]]": batches.limit,
        "vessel_l": batches.vessel,
        "chance_better": batches.chance,
    },
    "compare": {
        "rows[[]].values[[]]": batches.side,
        "rows[[]].spread_between_repeats": batches.repeats,
        "differences[[]].effect.*": taste.between,
        "tasted[[]].scores.*": tasted,
    },
    "harsh": {
        "drivers[[]].effect": taste.driver,
        "harshness": taste.own,
        "measured": taste.measured,
        "expected": taste.expected,
        "reasons[[]].contribution": taste.share,
    },
    "volume": {
        "fruits[[]].batches": batches.count,
        "fruits[[]].litres_per_kg": volume.litres,
        "fruits[[]].*.fruit_load": volume.tried,
        "fruits[[]].curve[[]].finished_fraction": volume.curve,
        "fruits[[]].full_volume[[]].*_load": volume.crossing,
        "fruits[[]].water_for_full[[]].water_per_litre_of_target": volume.water,
    },
    "yeasts": {
        "yeasts[[]].batches": batches.count,
        "yeasts[[]].final_gravity": yeasts.finished,
        "yeasts[[]].*_attenuation": yeasts.attenuation,
        "yeasts[[]].alcohol_tolerance": yeasts.tolerance,
        "pairs*.difference": yeasts.pair,
        "pairs*.chance_a_drier": yeasts.chance,
    },
    "fit": FIT_WAYS,
    "bench": BENCH_WAYS,
    "sheet": SHEET_WAYS,
    "tasting": TASTING_WAYS,
    "trial": TRIAL_WAYS,
}


def explain(
    question: str,
    cellar: Cellar,
    data: dict[str, Any],
    *,
    kept: Sequence[object] = (),
    models: Models | None = None,
    call: Mapping[str, Any] | None = None,
) -> list[dict[str, Any]]:
    """Return the steps behind every number of an answer.

    Parameters
    ----------
    question : str
        The command, such as ``predict``.
    cellar : Cellar
    data : dict
        Its answer.
    kept : sequence
        What was kept while it was worked out (`pipeline.cellar.notes.keeping`).
    models : Models, optional
        Those it was worked out with.
    call : mapping, optional
        What was typed, by the option's name.

    Returns
    -------
    list of dict
        ``answers`` (paths of the numbers in the answer that a step ends at; empty on the way),
        ``of``, ``measure``, ``value``, ``low``, ``high``, ``unit``, ``from`` (cells: ``file``,
        ``line``, ``column``, ``as_written``, ``value``, ``source``), ``uses``, ``how``, ``by``,
        ``source``, ``parts`` (``what``, ``value``; they add up to the value), ``rests_on``. Each
        stands after what it rests on.
    """
    asked = Asked(cellar, data, kept, models, dict(call or {}))
    found: dict[tuple[str, str, float | None], dict[str, Any]] = {}
    for number in numbers_of(data):
        way = way_to(question, number)
        for step in way(asked, number) if way else ():
            _add(found, step)
    return [*(model_step(asked, name).as_dict() for name in sorted(asked.used)), *found.values()]


def explain_call(
    question: str, data: dict[str, Any], kept: Sequence[object], call: Mapping[str, Any]
) -> list[dict[str, Any]]:
    """Explain an answer from what was kept while it was worked out, cellar and models included."""
    (cellar,) = (thing for thing in kept if isinstance(thing, Cellar))
    models = next((thing for thing in kept if isinstance(thing, Models)), None)
    return explain(question, cellar, data, kept=kept, models=models, call=call)


def model_step(asked: Asked, model: str) -> Step:
    """Return the step from the logbook to what a model has learnt: all the batches it rests on."""
    names = asked.taught_by[model]
    return Step(
        of=f"{model} model",
        measure="batches",
        value=float(len(names)),
        unit="batches",
        how="learnt from",
        by=f"learning.{model}",
        source=forecasts.METHODS,
        rests_on={"batches": len(names), "closest": [], "all": names},
    )


def way_to(question: str, number: Number) -> Way | None:
    """Return what traces a number of an answer; None if nothing here does."""
    for pattern, way in WAYS.get(question, {}).items():
        if fnmatchcase(number.pattern, pattern):
            return way
    return None


def _add(found: dict[tuple[str, str, float | None], dict[str, Any]], step: Step) -> None:
    """Add a step once, however many numbers of the answer it leads to."""
    key = (step.of, step.measure, step.value)
    entry = found.setdefault(key, step.as_dict())
    if step.answers and step.answers not in entry["answers"]:
        entry |= {"answers": [*entry["answers"], step.answers], "low": step.low, "high": step.high}
