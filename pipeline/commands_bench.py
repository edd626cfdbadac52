"""The commands of one batch or recipe at a time: bench, sheet, tasting. They fit no model."""

import argparse
from typing import TYPE_CHECKING

from pipeline.commands import Say, units_of
from pipeline.show.answer import Answer

if TYPE_CHECKING:
    from pipeline.cellar import Cellar


def bench(request: argparse.Namespace, say: Say) -> Answer:
    """Work out doses for a finished wine from its own readings."""
    from pipeline.advice import bench as advice
    from pipeline.advice.bench_wishes import read_wishes

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
