"""The parts of a trial's answer, in the shape that `hedgerow trial --json` prints."""

from __future__ import annotations

from typing import Any

from pipeline.advice.suggest.reasons import as_change
from pipeline.advice.trial.plan import Split
from pipeline.advice.trial.weighing import Choice, Weighed, also_taught


def names_of(split: Split) -> tuple[str, str]:
    """Return what each arm is called."""
    return f"A: {split.labels[0]}", f"B: {split.labels[1]}"


def arms_of(split: Split) -> list[dict[str, Any]]:
    """Return both arms with what each sets beside the recipe."""
    edits = (split.base, split.other)
    return [
        {"name": name, "changes": [as_change(edit) for edit in arm]}
        for name, arm in zip(names_of(split), edits, strict=True)
    ]


def learns(choice: Choice, chosen: Weighed, tasters: int) -> list[dict[str, Any]]:
    """Return the intervals that the split narrows: of what is tried, and of what goes with it."""
    every = [(chosen, chosen.width_after), *also_taught(choice, chosen, tasters)]
    return [
        {
            "factor": one.split.factor,
            "interval_width_now": one.width_now,
            "interval_width_after": after,
            "unit": "points",
            "effect_mean": one.effect.as_dict(),
        }
        for one, after in every
    ]


def considered(one: Weighed) -> dict[str, Any]:
    """Return one split as it was weighed."""
    return {
        "factor": one.split.factor,
        "labels": list(one.split.labels),
        "effect_mean": one.effect.as_dict(),
        "interval_width_now": one.width_now,
        "interval_width_after": one.width_after,
        "may_help": one.may_help,
    }


def told_apart(choice: Choice, group: list[str]) -> dict[str, Any]:
    """Return factors that only ever changed together, and the split that would tell them apart."""
    able = [one for one in choice.weighed if one.split.factor in group]
    best = max(able, key=lambda one: one.narrowed, default=None)
    return {
        "factors": group,
        "split_on": None if best is None else best.split.factor,
        "arms": [] if best is None else arms_of(best.split),
        "interval_width_now": None if best is None else best.width_now,
        "interval_width_after": None if best is None else best.width_after,
    }
