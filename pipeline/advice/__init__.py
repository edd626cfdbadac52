"""Decisions with reasons: predict, compare, suggest. No formatting here."""

from __future__ import annotations

from importlib import import_module
from typing import TYPE_CHECKING, Any

from pipeline.errors import UnknownNameError

if TYPE_CHECKING:
    from pipeline.cellar import Cellar
    from pipeline.learning import Models

QUESTIONS = (
    *("fit", "volume", "yeasts", "harsh"),
    *("compare", "predict", "suggest", "trial", "finish", "planner"),
)


def answer(
    question: str, cellar: Cellar, models: Models, *about: Any, **named: Any
) -> dict[str, Any]:
    """Answer a question about a logbook, in the shape that ``hedgerow QUESTION --json`` prints.

    Parameters
    ----------
    question : str
        One of `QUESTIONS`; each has a module here, whose `answer` says what else it takes.
    cellar : Cellar
    models : Models
    *about, **named
        What the question is about, such as a batch or a recipe.

    Returns
    -------
    dict
        SI units.

    Raises
    ------
    UnknownNameError
        If there is no such question.
    HedgerowError
        If it cannot be answered, worded for the maker.
    """
    if question not in QUESTIONS:
        raise UnknownNameError(
            f"There is no question '{question}'. There are: {', '.join(QUESTIONS)}."
        )
    found: dict[str, Any] = import_module(f"pipeline.advice.{question}").answer(
        cellar, models, *about, **named
    )
    return found
