"""The commands of one batch or recipe at a time: bench, sheet, tasting, trial."""

import argparse
from pathlib import Path
from typing import TYPE_CHECKING

from pipeline.commands import Say, units_of
from pipeline.show.answer import Answer

if TYPE_CHECKING:
    from pipeline.cellar import Cellar


def bench(request: argparse.Namespace, say: Say) -> Answer:
    """Work out doses for a finished wine from its own readings."""
    from pipeline.advice import bench as advice
    from pipeline.advice.bench.wishes import read_wishes

    cellar = _loaded(request, say)
    gallon = cellar.batch(request.batch)["gallon"] or cellar.settings()["gallon"]
    data = advice.answer(cellar, request.batch, read_wishes(vars(request), gallon))
    answered = [name for name in advice.SECTIONS if data[name]]
    return _answer(cellar, data, cannot_say=not answered)


def _loaded(request: argparse.Namespace, say: Say) -> "Cellar":
    from pipeline.cellar import load_cellar

    return load_cellar(request.logbook, say=say)


def _answer(cellar: "Cellar", data: dict, *, cannot_say: bool = False) -> Answer:
    set_aside = bool(cellar.table("files")["rows_set_aside"].sum())
    return Answer(data, units_of(cellar), cannot_say=cannot_say, set_aside=set_aside)


def sheet(request: argparse.Namespace, say: Say) -> Answer:
    """Write out a recipe: scaled, with its vessel, a plan of steps and, if wanted, a calendar."""
    from pipeline.advice import sheet as advice
    from pipeline.advice.bench.wishes import read_start, read_volume

    cellar = _loaded(request, say)
    settings = cellar.settings()
    data = advice.answer(
        cellar,
        request.recipe,
        read_volume("--volume", request.volume, settings["gallon"]),
        read_start(request.start, settings["dates"]),
    )
    answer = _answer(cellar, {**data, "calendar": None, "page": None})
    if request.calendar:
        write_calendar(request.calendar, answer)
    if request.page:
        from pipeline.show.page import write_page
        from pipeline.show.sheet_page import sheet_html

        write_page(sheet_html(answer.data, answer.units), request.page)
        answer.data["page"] = str(request.page)
    return answer


def write_calendar(path: Path, answer: Answer) -> None:
    """Write a sheet's plan of steps as a calendar file, in the units that the logbook shows.

    Parameters
    ----------
    path : pathlib.Path
        Of the file; an older one is overwritten.
    answer : Answer
        As `sheet` found it; its ``calendar`` is set to the path.

    Raises
    ------
    HedgerowError
        If the file cannot be written.
    """
    from pipeline.errors import HedgerowError
    from pipeline.files import written_whole
    from pipeline.show.words_sheet import calendar_file

    text = calendar_file(answer.data, answer.units)
    try:
        with written_whole(path) as fresh:
            fresh.write_bytes(text)
    except OSError as fault:
        raise HedgerowError(
            f"The calendar cannot be written to {path}: {fault.strerror}. Name another file."
        ) from fault
    answer.data["calendar"] = str(path)


def tasting(request: argparse.Namespace, say: Say) -> Answer:
    """Lay out a blind tasting of two wines, or judge one that was held."""
    from pipeline.advice import tasting as advice

    cellar = _loaded(request, say)
    return _answer(
        cellar,
        advice.answer(
            cellar,
            (request.first, request.second),
            request.test,
            tasters=request.tasters,
            hits=request.hits,
            seed=request.seed,
        ),
    )


def trial(request: argparse.Namespace, say: Say) -> Answer:
    """Choose the split batch that would teach most, and say what earlier ones settled."""
    from pipeline.advice import trial as advice
    from pipeline.learning import fit_models

    cellar = _loaded(request, say)
    say("fitting the models")
    data = advice.answer(
        cellar,
        fit_models(cellar),
        request.recipe,
        tasters=request.tasters,
        seed=request.seed,
        pair=request.pair or (),
    )
    return _answer(cellar, data, cannot_say=not data["arms"] and not data["settled"])
