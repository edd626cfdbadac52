"""The report: one page a club can print, from the season to how each number was made."""

from collections.abc import Iterator
from datetime import date
from typing import Any

import polars as pl

from pipeline.show import (
    page,
    words_care,
    words_due,
    words_finish,
    words_fit,
    words_harsh,
    words_made,
    words_problem_kinds,
    words_recipes,
    words_shelf,
    words_sticking,
    words_volume,
    words_yeasts,
)
from pipeline.show.plots_gravity import running_curves
from pipeline.show.plots_harsh import harsh_drivers, harsh_reasons
from pipeline.show.plots_volume import fruit_yields, volume_curve
from pipeline.show.plots_yeasts import yeast_chances, yeast_gravities
from pipeline.show.units import Units
from pipeline.show.words_record import recipe_records, record_listing, record_title

_CURVES = 2  # fruits whose volume is plotted, those most often made
_CURVE_HEIGHT, _ROW_HEIGHT = 230, 15  # [px] lower than on a screen, to save sheets
_NO_CARE = "Nothing in the logbook calls for a caution of its own."
_UNSAID = "Your logbook holds too little to answer this yet."
_MADE = (
    "Volumes, gravities and strengths come from the logbook's own rows, put on one scale: litres, "
    "kilograms, specific gravity at 20 °C, % by volume. This is where those of the records come "
    "from:"
)
_TRACED = (
    "For one number, 'hedgerow compare LOGBOOK BATCH BATCH --explain' names each cell it comes "
    "from, with file and line."
)
_HOW_SURE = (
    "Each kind of answer was tried on batches that hedgerow had not been shown. 'Off by' is how "
    "far it missed them on average. Beside it stands what simpler guesses missed by: the mean of "
    "your batches of the same fruit, the mean of all, and a general method of learning from tables "
    "(boosted trees). What does not beat them is not used for advice."
)


def report_html(
    name: str, tables: dict[str, pl.DataFrame], found: dict[str, Any], units: Units
) -> str:
    """Return the report as one HTML document.

    Parameters
    ----------
    name : str
        The logbook's folder.
    tables : dict of polars.DataFrame
        The cellar's ``batches``, ``readings``, ``files`` and ``problems``; what is due (``due``)
        and the years' totals (``years``).
    found : dict
        The answers of `pipeline.advice.report`, and ``home_limits_l``.
    units : Units
        The logbook's.
    """
    day = date.fromisoformat(found["written_on"])
    pieces = [
        page.paragraph(f"Written on {day.day} {day:%B %Y} from the logbook '{name}'.", "note"),
        *_season(tables, found, units),
        *_volume(tables, found, units),
        *_yeasts(found, units),
        *_harsh(found, units),
        *_recipes(tables["batches"], units),
        *_next(found, units),
        *_care(found),
        *_problems(tables),
        *_how(found),
    ]
    return page.document("What the batches say", pieces)


def _season(tables: dict[str, pl.DataFrame], found: dict[str, Any], units: Units) -> Iterator[str]:
    batches = tables["batches"]
    yield page.heading("The season")
    yield page.paragraph(words_shelf.shelf_answer(batches), "lead")
    if batches.is_empty():
        return
    yield page.table(words_due.years_listing(tables["years"], units))
    yield page.paragraph(words_due.home_rule(tables["years"], found["home_limits_l"], units))
    yield page.heading("Due this week", 3)
    yield page.paragraph(words_due.due_answer(tables["due"]))
    yield page.bullets(words_due.due_lines(tables["due"]))
    yield page.heading("Still fermenting", 3)
    yield page.paragraph(words_shelf.curves_answer(batches))
    if found["finish"] is not None:
        yield page.table(words_finish.finish_listing(found["finish"], units))
        yield page.bullets(words_finish.finish_doubts(found["finish"]))
    yield page.row(running_curves(batches, tables["readings"]))


def _volume(tables: dict[str, pl.DataFrame], found: dict[str, Any], units: Units) -> Iterator[str]:
    yield page.heading("Which fruit loads give full volume?")
    data = found["volume"]
    if data is None or not data["fruits"]:
        yield page.paragraph(_UNSAID)
        return
    yield page.paragraph(words_volume.volume_answer(data, units), "lead")
    for fruit in words_volume.most_made_first(data)[:_CURVES]:
        yield page.plot(volume_curve(fruit, tables["batches"], units), _CURVE_HEIGHT)
    yield page.plot(fruit_yields(data, units), _ROW_HEIGHT * len(data["fruits"]))
    yield page.table(words_volume.volume_listing(data, units))
    yield page.bullets(words_volume.volume_doubts(data))
    yield page.paragraph(words_volume.BASIS, "note")


def _yeasts(found: dict[str, Any], units: Units) -> Iterator[str]:
    yield page.heading("How does finished gravity compare across yeasts?")
    data = found["yeasts"]
    if data is None or not words_yeasts.driest_first(data):
        yield page.paragraph(_UNSAID)
        return
    yield page.paragraph(words_yeasts.yeasts_answer(data, units), "lead")
    yield page.plot(yeast_gravities(data, units))
    yield page.table(words_yeasts.yeasts_listing(data, units))
    if words_yeasts.pairs_of(data):
        yield page.plot(yeast_chances(data))
    yield page.bullets(words_yeasts.yeasts_doubts(data))
    yield page.paragraph(words_yeasts.BASIS, "note")


def _harsh(found: dict[str, Any], units: Units) -> Iterator[str]:
    yield page.heading("Why do some batches taste harsh?")
    data, batch = found["harsh"], found["harsh_batch"]
    if data is None or not data["drivers"]:
        yield page.paragraph(_UNSAID)
        return
    yield page.paragraph(words_harsh.harsh_answer(data, units), "lead")
    yield page.plot(harsh_drivers(data, units))
    yield page.table(words_harsh.drivers_listing(data, units))
    yield page.bullets(words_harsh.harsh_doubts(data))
    if batch is not None:
        yield page.heading("The harshest batch", 3)
        yield page.paragraph(words_harsh.batch_answer(batch, units))
        yield page.plot(harsh_reasons(batch, units))
        yield page.table(words_harsh.reasons_listing(batch, units))
        for heading, kind in (("What to do now", "now"), ("Next time", "next_time")):
            lines = words_harsh.advice_lines(batch, kind)
            yield page.heading(heading, 3) if lines else ""
            yield page.bullets(lines)
    yield page.paragraph(words_harsh.BASIS, "note")


def _recipes(batches: pl.DataFrame, units: Units) -> Iterator[str]:
    yield page.heading("Each recipe's record")
    yield page.parts_table(
        [
            (record_title(recipe, made), record_listing(made, units))
            for recipe, made in recipe_records(batches)
        ]
    )


def _next(found: dict[str, Any], units: Units) -> Iterator[str]:
    yield page.heading("What to try next")
    planned = found["predict"]
    if planned is None:
        yield page.paragraph(
            "No recipe is planned. Write one in recipes.csv, a row for each thing that goes in; it "
            "will be predicted and improved here."
        )
        return
    yield page.table(words_recipes.planned_listing(planned["recipes"], units))
    yield page.bullets(words_sticking.sticking_lines(planned["recipes"]))
    yield page.paragraph(words_recipes.BASIS, "note")
    for advised in found["suggest"]:
        yield page.heading(advised["recipe"], 3)
        yield page.paragraph(words_recipes.suggest_answer(advised, units))
        yield page.bullets(words_recipes.change_lines(advised, units))
    yield page.bullets(words_recipes.recipe_doubts(planned["recipes"]))


def _care(found: dict[str, Any]) -> Iterator[str]:
    planned = [] if found["predict"] is None else found["predict"]["recipes"]
    named = [(one["recipe"], one["cautions"]) for one in (*planned, *found["suggest"])]
    if found["harsh_batch"] is not None:
        named.append((found["harsh_batch"]["batch"], found["harsh_batch"]["cautions"]))
    yield page.heading("Take care")
    lines = words_care.care_lines(found["cautions"], named)
    yield page.framed(page.bullets(lines)) if lines else page.paragraph(_NO_CARE)


def _problems(tables: dict[str, pl.DataFrame]) -> Iterator[str]:
    yield page.heading("Problems in the logs")
    yield page.paragraph(words_shelf.set_aside_basis(tables["files"]))
    yield page.table(words_problem_kinds.kinds_listing(tables["problems"]))
    if not tables["problems"].is_empty():
        yield page.paragraph("'hedgerow check' lists every one, each in its row.", "note")


def _how(found: dict[str, Any]) -> Iterator[str]:
    yield page.heading("How each number was made")
    yield page.paragraph(_MADE)
    yield page.table(words_made.made_listing())
    yield page.paragraph(_TRACED, "note")
    if found["fit"] is not None:
        yield page.paragraph(_HOW_SURE)
        yield page.paragraph(words_fit.fit_answer(found["fit"]))
        yield page.table(words_fit.fit_listing(found["fit"]))
        yield page.bullets(words_fit.fit_doubts(found["fit"]))
    yield page.paragraph(words_finish.BASIS, "note")
    yield page.paragraph(words_due.DUE_BASIS, "note")
    yield page.paragraph(
        "The formulas, their sources and what the intervals mean stand in hedgerow's METHODS.md, "
        "the outside numbers, each with its source, in its reference tables. Everything here is an "
        "estimate for home use. Your local rules decide.",
        "note",
    )
