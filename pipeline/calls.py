"""What can be called: each command's name, words, arguments, and who answers and who prints."""

from dataclasses import dataclass, field
from pathlib import Path


@dataclass(frozen=True)
class Argument:
    """One argument of a command, as argparse takes it."""

    names: tuple[str, ...]
    options: dict = field(default_factory=dict)


@dataclass(frozen=True)
class Command:
    """One command. `answer` and `text` are 'module:function', imported only when it is called.

    A command without `text` prints nothing of its own.
    """

    name: str
    help: str
    example: str
    arguments: tuple[Argument, ...]
    answer: str
    text: str = ""


def _argument(*names: str, **options: object) -> Argument:
    return Argument(names, options)


def path(text: str) -> Path:
    """Read a path from the command line, `~` included."""
    return Path(text).expanduser()


KINDS = ("batch", "addition", "reading", "transfer", "tasting", "recipe")
LOGBOOK = _argument("logbook", metavar="LOGBOOK", type=path, help="the logbook's folder")

COMMANDS: tuple[Command, ...] = (
    Command(
        "new",
        "write an empty logbook with headed files, settings and one worked example row each",
        "new my-logbook",
        (_argument("folder", metavar="DIR", type=path, help="a folder that does not exist yet"),),
        "pipeline.commands:new",
        "pipeline.show.text_logbook:new",
    ),
    Command(
        "demo",
        "write the invented demo logbook, run the main job on it and print the findings",
        "demo",
        (
            _argument(
                "folder",
                metavar="DIR",
                type=path,
                nargs="?",
                default=Path("hedgerow-demo"),
                help="where to write it (default: hedgerow-demo)",
            ),
        ),
        "pipeline.commands:demo",
        "pipeline.show.text_findings:findings",
    ),
    Command(
        "check",
        "read and check the files only: every problem with file, line, column and remedy",
        "check my-logbook",
        (
            LOGBOOK,
            _argument("--list", metavar="FILE", type=path, help="write them to .csv or .html"),
        ),
        "pipeline.commands:check",
        "pipeline.show.text_logbook:check",
    ),
    Command(
        "load",
        "check the files and build the DuckDB file that everything else reads",
        "load my-logbook",
        (LOGBOOK,),
        "pipeline.commands:load",
        "pipeline.show.text_logbook:load",
    ),
    Command(
        "fit",
        "fit the models and say how well each predicts batches it has not seen",
        "fit my-logbook",
        (LOGBOOK,),
        "pipeline.commands:fit",
        "pipeline.show.text_models:fit",
    ),
    Command(
        "volume",
        "which fruit loads fill the vessel: finished volume against fruit load, per fruit",
        "volume my-logbook --fruit damson",
        (LOGBOOK, _argument("--fruit", help="only this fruit")),
        "pipeline.commands:volume",
        "pipeline.show.text_models:volume",
    ),
    Command(
        "yeasts",
        "finished gravity and attenuation across yeasts, like for like",
        "yeasts my-logbook",
        (LOGBOOK,),
        "pipeline.commands:yeasts",
        "pipeline.show.text_models:yeasts",
    ),
    Command(
        "harsh",
        "what goes with harsh glasses; with BATCH, why this one is",
        "harsh my-logbook 2025-09",
        (LOGBOOK, _argument("batch", metavar="BATCH", nargs="?", help="one batch's id")),
        "pipeline.commands:harsh",
        "pipeline.show.text_models:harsh",
    ),
    Command(
        "compare",
        "recipes or batches side by side: what went in, what came out, what differs",
        "compare my-logbook 'damson dry' 'damson soft'",
        (
            LOGBOOK,
            _argument("names", metavar="A", nargs="+", help="two or more recipes or batches"),
        ),
        "pipeline.commands:compare",
        "pipeline.show.text_advice:compare",
    ),
    Command(
        "predict",
        "what a planned recipe of recipes.csv will give",
        "predict my-logbook 'damson soft'",
        (
            LOGBOOK,
            _argument("recipes", metavar="RECIPE", nargs="+", help="recipes in recipes.csv"),
        ),
        "pipeline.commands:predict",
        "pipeline.show.text_advice:predict",
    ),
    Command(
        "suggest",
        "adjustments to a planned recipe, each with its expected effect",
        "suggest my-logbook 'damson soft'",
        (LOGBOOK, _argument("recipe", metavar="RECIPE", help="a recipe in recipes.csv")),
        "pipeline.commands:suggest",
        "pipeline.show.text_advice:suggest",
    ),
    Command(
        "bench",
        "doses for a finished wine: sweeten, stabilise, acid, blend, from its own readings",
        "bench my-logbook 2025-09 --sweeten-to '20 g/L'",
        (
            LOGBOOK,
            _argument("batch", metavar="BATCH", help="the batch's id"),
            _argument("--sweeten-to", metavar="SUGAR", help="sugar wanted, such as '20 g/L'"),
            _argument("--gravity", help="gravity wanted, such as 1.010"),
            _argument("--acidity", help="acidity wanted as tartaric, such as '6 g/L'"),
            _argument("--alcohol", metavar="STRENGTH", help="strength wanted, such as 12"),
            _argument("--blend", metavar="BATCH", nargs="+", help="batches to blend it with"),
            _argument("--volume", help="how much there is; of a blend, how much is wanted"),
            _argument("--titrated", metavar="ML", help="hydroxide just used up, such as '12 mL'"),
            _argument("--normality", help="its normality, such as 0.1"),
            _argument("--sample", metavar="ML", help="wine it was used on, such as '15 mL'"),
        ),
        "pipeline.commands_bench:bench",
        "pipeline.show.text_bench:bench",
    ),
    Command(
        "sheet",
        "write out a recipe for the kitchen: scaled, with its vessel and a dated plan of steps",
        "sheet my-logbook 'damson soft' --volume '2 gal' --calendar damson.ics",
        (
            LOGBOOK,
            _argument("recipe", metavar="RECIPE", help="a recipe in recipes.csv"),
            _argument("--volume", help="finished volume wanted, such as '2 gal'"),
            _argument("--start", metavar="DATE", help="day it is put together (default: today)"),
            _argument("--calendar", metavar="FILE.ics", type=path, help="write the plan there"),
        ),
        "pipeline.commands_bench:sheet",
        "pipeline.show.text_sheet:sheet",
    ),
    Command(
        "tasting",
        "a blind tasting of two wines: serving order, how many right answers count, the verdict",
        "tasting my-logbook 2025-09 2025-10 --test triangle --tasters 12",
        (
            LOGBOOK,
            _argument("first", metavar="A", help="one batch"),
            _argument("second", metavar="B", help="another batch"),
            _argument(
                "--test",
                choices=("triangle", "paired", "preference"),
                default="triangle",
                help="odd one out, which is more so, or which is liked (default: triangle)",
            ),
            _argument("--tasters", type=int, default=12, help="answers to be had (default: 12)"),
            _argument("--hits", type=int, help="right answers, or votes for A, once it is held"),
            _argument("--seed", type=int, default=1, help="another number, another order"),
        ),
        "pipeline.commands_bench:tasting",
        "pipeline.show.text_tasting:tasting",
    ),
    Command(
        "import",
        "bring old notes in: propose what each column is, ask, and write what is certain",
        "import old-notes.csv --into my-logbook",
        (
            _argument(
                "files", metavar="FILE", type=path, nargs="+", help="a CSV file or a workbook"
            ),
            _argument(
                "--into", metavar="LOGBOOK", type=path, required=True, help="a folder, new or not"
            ),
        ),
        "pipeline.commands:bring",
        "pipeline.show.text_import:bring",
    ),
    Command(
        "add",
        "add one checked entry to a logbook; a row that does not pass is not written",
        "add reading my-logbook batch_id=2025-09 taken_on=today gravity=0.994",
        (
            _argument("kind", metavar="KIND", choices=KINDS, help=", ".join(KINDS)),
            LOGBOOK,
            _argument(
                "cells",
                metavar="COLUMN=CELL",
                nargs="+",
                help="cells as you would type them; 'today' is a date",
            ),
        ),
        "pipeline.commands:add",
        "pipeline.show.text_logbook:add",
    ),
    Command(
        "app",
        "open the web page, on this machine only",
        "app my-logbook",
        (
            LOGBOOK,
            _argument("--port", type=int, default=8501, help="port on 127.0.0.1 (default: 8501)"),
            _argument("--no-browser", action="store_true", help="do not open a browser"),
        ),
        "pipeline.commands:app",
    ),
)
