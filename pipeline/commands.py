"""One thin function per command: open what it needs, ask one question, hand back the answer."""

import argparse
from collections.abc import Callable
from importlib import import_module
from pathlib import Path
from types import ModuleType
from typing import TYPE_CHECKING

from pipeline.show.answer import Answer
from pipeline.show.units import Units

if TYPE_CHECKING:
    from pipeline.cellar import Cellar
    from pipeline.learning import Models

Say = Callable[[str], None]


def units_of(cellar: "Cellar") -> Units:
    """Return how the logbook wants quantities written."""
    settings = cellar.settings()
    return Units(show=settings["show"], currency=settings["currency"] or "")


def new(request: argparse.Namespace, _: Say) -> Answer:
    """Write an empty logbook."""
    from pipeline.logbook.new import write_new_logbook

    files = write_new_logbook(request.folder)
    return Answer({"folder": str(request.folder), "files": [path.name for path in files]})


def check(request: argparse.Namespace, _: Say) -> Answer:
    """Read and check a logbook without building anything."""
    from pipeline.logbook import read_logbook

    checked = read_logbook(request.logbook)
    data = _problem_data(checked.files.to_dicts(), checked.problems.to_dicts())
    if request.list is not None:
        from pipeline.show.problem_list import write_list

        write_list(checked.problems, request.list)
    return Answer(data, raw=checked.raw, set_aside=bool(checked.files["rows_set_aside"].sum()))


def load(request: argparse.Namespace, say: Say) -> Answer:
    """Build the cellar if anything it rests on has changed."""
    from pipeline.advice.cautions.shelf import shelf_cautions

    cellar = loaded(request.logbook, say)
    data = _problem_data(files_of(cellar), cellar.table("problems").to_dicts())
    data["cautions"] = shelf_cautions(cellar)
    return Answer(
        data, units_of(cellar), set_aside=any(file["rows_set_aside"] for file in data["files"])
    )


def files_of(cellar: "Cellar") -> list[dict]:
    """Return the counts of each file as the commands print them."""
    return cellar.table("files").drop("contract_file").to_dicts()


def _problem_data(files: list[dict], problems: list[dict]) -> dict:
    return {"files": files, "problems": problems, "seconds": 0.0}


def demo(request: argparse.Namespace, say: Say) -> Answer:
    """Write the demo logbook, run the main job on it and gather the findings."""
    from pipeline.demo import write_demo

    write_demo(request.folder)
    cellar, models = fitted(request.folder, say)
    harsh_all = advice("harsh").answer(cellar, models)
    data = {
        "folder": str(request.folder),
        "files": files_of(cellar),
        "volume": advice("volume").answer(cellar, models),
        "yeasts": advice("yeasts").answer(cellar, models),
        "harsh": harsh_all,
    }
    from pipeline.advice.report import harshest_batch

    worst = harshest_batch(cellar)
    if worst is not None:
        data["harsh_batch"] = advice("harsh").answer(cellar, models, worst)
    return Answer(data, units_of(cellar))


def fit(request: argparse.Namespace, say: Say) -> Answer:
    """Fit the models and try each on batches held out of the fit."""
    return _answered(request, say, "fit")


def volume(request: argparse.Namespace, say: Say) -> Answer:
    """Set finished volume against fruit load, per fruit."""
    return _answered(request, say, "volume", request.fruit)


def yeasts(request: argparse.Namespace, say: Say) -> Answer:
    """Compare yeasts like for like."""
    return _answered(request, say, "yeasts")


def harsh(request: argparse.Namespace, say: Say) -> Answer:
    """Say what goes with harshness, or why one batch is harsh."""
    return _answered(request, say, "harsh", request.batch)


def compare(request: argparse.Namespace, say: Say) -> Answer:
    """Set recipes or batches side by side."""
    return _answered(request, say, "compare", request.names)


def predict(request: argparse.Namespace, say: Say) -> Answer:
    """Say what planned recipes will give and, if asked, how each fills its vessel."""
    from pipeline.advice.fill.asked import read_fill

    cellar, models = fitted(request.logbook, say)
    filling = read_fill(request.fill, request.keep, cellar.settings()["decimal"])
    answer = _answer(cellar, advice("predict").answer(cellar, models, request.recipes))
    if filling is not None:
        for found in answer.data["recipes"]:
            found["fill"] = advice("fill").answer(cellar, models, found["recipe"], *filling)
            answer.cannot_say = answer.cannot_say or found["fill"]["refused"] is not None
    return answer


def suggest(request: argparse.Namespace, say: Say) -> Answer:
    """Adjust a planned recipe within what is wanted of it."""
    from pipeline.advice.suggest.wanted import read_wanted

    cellar, models = fitted(request.logbook, say)
    wanted = read_wanted(vars(request), cellar.settings()["decimal"])
    return _answer(cellar, advice("suggest").answer(cellar, models, request.recipe, wanted))


def advice(question: str) -> ModuleType:
    """Return the module of `pipeline.advice` that answers a question."""
    return import_module(f"pipeline.advice.{question}")


def loaded(folder: Path, say: Say) -> "Cellar":
    """Return a logbook's cellar, built anew if its files have changed."""
    # DuckDB and Arrow take a while to start; `check` and `new` do without.
    from pipeline.cellar import load_cellar

    return load_cellar(folder, say=say)


def fitted(folder: Path, say: Say) -> "tuple[Cellar, Models]":
    """Return a logbook's cellar and the models fitted to it, built first if need be."""
    cellar = loaded(folder, say)
    say("fitting the models")
    from pipeline.learning import fit_models

    return cellar, fit_models(cellar)


def _answered(request: argparse.Namespace, say: Say, question: str, *about: object) -> Answer:
    cellar, models = fitted(request.logbook, say)
    return _answer(cellar, advice(question).answer(cellar, models, *about))


def _answer(cellar: "Cellar", data: dict) -> Answer:
    set_aside = bool(cellar.table("files")["rows_set_aside"].sum())
    return Answer(data, units_of(cellar), cannot_say=_is_silent(data), set_aside=set_aside)


def _is_silent(found: object) -> bool:
    """Return whether an answer holds no estimate and no error measured: the logbook cannot say."""
    if isinstance(found, dict):
        if {"value", "low", "high"} <= found.keys() or found.get("mae") is not None:
            return False
        return all(_is_silent(part) for part in found.values())
    return not isinstance(found, list) or all(_is_silent(part) for part in found)


def add(request: argparse.Namespace, _: Say) -> Answer:
    """Add one checked entry to a logbook."""
    from pipeline.advice.entries import add_cells

    return Answer(add_cells(request.logbook, request.kind, request.cells))


def bring(request: argparse.Namespace, _: Say) -> Answer:
    """Import old notes: write what is certain, or propose a mapping and stop."""
    from pipeline.logbook.importing import import_data, import_files

    data = import_data(import_files(request.files, request.into), request.into)
    set_aside = any(file["counts"]["rows_set_aside"] for file in data["files"])
    return Answer(data, cannot_say=not data["is_written"], set_aside=set_aside)
