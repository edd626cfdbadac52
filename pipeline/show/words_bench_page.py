"""The bench on the page: what can be done with a wine, and the texts of the terminal reworded."""

from collections.abc import Sequence
from typing import Any, NamedTuple

import polars as pl

from pipeline.show.measured import dose
from pipeline.show.units import Units
from pipeline.show.words_bench import bench_answers
from pipeline.show.words_shelf import batch_choices

TASKS = {
    "sweeten": "Sweeten it",
    "keep": "Make it keep",
    "acid": "Change its acid",
    "gravity": "Bring it to a gravity",
    "thin": "Thin it with water",
    "blend": "Blend it",
}


class Field(NamedTuple):
    """A number to fill in: its label, its bounds, and what an empty one means."""

    label: str
    low: float
    high: float
    step: float
    decimals: int
    empty: str


# Bounds as `read_wishes` has them.
FIELD = {
    "sweeten_to": Field("Sugar wanted, g/L", 0.0, 300.0, 5.0, 0, "taste first"),
    "gravity": Field("Gravity wanted", 0.98, 1.2, 0.001, 3, "such as 1.005"),
    "acidity": Field("Acidity wanted, g/L as tartaric", 1.0, 20.0, 0.5, 1, "such as 6.0"),
    "alcohol": Field("Strength wanted, % vol", 0.5, 25.0, 0.5, 1, "such as 11.0"),
    "volume": Field("How much wine, {volume}", 0.05, 5000.0, 0.25, 2, "as logged"),
    "titrated": Field("Hydroxide used, mL", 0.01, 500.0, 0.1, 2, "such as 7.5"),
    "normality": Field("Its normality", 0.001, 5.0, 0.1, 3, "on its label"),
    "sample": Field("Wine in the sample, mL", 0.01, 500.0, 1.0, 2, "such as 10"),
}
FIELDS = {
    "sweeten": ("sweeten_to", "volume"),
    "keep": ("volume",),
    "acid": ("acidity", "volume"),
    "gravity": ("gravity", "volume"),
    "thin": ("alcohol", "volume"),
    "blend": ("alcohol", "acidity", "sweeten_to", "volume"),
}
TITRATION = ("titrated", "normality", "sample")
ASK = {
    "acid": "Say which acidity you want.",
    "gravity": "Say which gravity you want.",
    "thin": "Say which strength you want.",
    "blend": "Say which wines to blend it with, and what to aim at.",
}
BASIS = (
    "Every dose is for the wine as it was last read, and for the volume it had then. Two doses "
    "worked out from the same reading do not add up: do one, wait, read again."
)
_STATES = ("ageing", "stuck", "bottled", "fermenting")
# What the terminal calls an option, and what the page calls its field.
_FIELDS = (
    ("Say it with --alcohol, --acidity or --sweeten-to.", "Fill in a strength, acidity or sugar."),
    ("say it with --volume", "type it above"),
    ("name another batch with --blend", "choose another wine above"),
    ("name another wine with --blend", "choose another wine above"),
    (" (--blend)", ""),
    ("--titrated", "how much hydroxide was used"),
    ("--normality", "its normality"),
    ("--sample", "how much wine was in the sample"),
    ("(hedgerow bench … {batch} --acidity)", "(above, under 'Change its acid')"),
)


def treatable(batches: pl.DataFrame) -> dict[str, str]:
    """Return the batches there is wine of, those in a vessel first, each as a choice in words.

    In words that stay while somebody reads: a choice goes by them, and a state may change.

    Parameters
    ----------
    batches : polars.DataFrame
        The cellar's.
    """
    states = dict(batches.select("batch_id", "state").iter_rows())
    named = batch_choices(batches)
    return {
        batch: text for state in _STATES for batch, text in named.items() if states[batch] == state
    }


def options(numbers: dict[str, float | None], blend: Sequence[str], units: Units) -> dict[str, Any]:
    """Return numbers filled in on the page as they would be typed at the terminal.

    Parameters
    ----------
    numbers : dict
        By option; None was left empty.
    blend : sequence of str
        Batches to blend with.
    units : Units
        The logbook's: `volume` counts in them.
    """
    written = {
        "sweeten_to": "g/L",
        "gravity": "",
        "acidity": "g/L",
        "alcohol": "%",
        "volume": units.volume_unit,
        "titrated": "mL",
        "normality": "",
        "sample": "mL",
    }
    typed = {
        name: f"{value:.10g} {written[name]}".strip()
        for name, value in numbers.items()
        if value is not None
    }
    return {**typed, "blend": list(blend)}


def on_the_page(text: str, batch: str) -> str:
    """Reword a sentence of the terminal so that it names the page's fields."""
    for option, field in _FIELDS:
        text = text.replace(option.replace("{batch}", batch), field)
    return text


def bench_answer(task: str, data: dict, units: Units) -> str:
    """Answer 'What does this wine need?' for what was asked of it.

    Parameters
    ----------
    task : str
        One of `TASKS`.
    data : dict
        The answer of `pipeline.advice.bench`.
    units : Units
        The logbook's.
    """
    if task == "keep":
        return _keep_answer(data)
    return " ".join(bench_answers(data, units))


def _keep_answer(data: dict) -> str:
    batch, found = data["batch"], data["sulphite"]
    if found is None:
        return f"{batch}: what keeps it cannot be worked out yet."
    if not found["rise_mg_l"]:
        return f"{batch} holds enough sulphite to keep."
    return f"{batch} takes {dose(found['dose'])} of potassium metabisulphite to keep."


def wanted(task: str, numbers: dict[str, float | None], data: dict) -> dict[str, float]:
    """Return what the wine is to hold, by the cellar's names, for the strips.

    Parameters
    ----------
    task : str
        One of `TASKS`.
    numbers : dict
        As filled in.
    data : dict
        The answer of `pipeline.advice.bench`.
    """
    aims = {
        "residual_sugar_g_l": numbers.get("sweeten_to"),
        "ta_tartaric_g_l": numbers.get("acidity"),
        "alcohol": numbers.get("alcohol"),
    }
    if task == "keep" and data["sulphite"]:
        aims["free_so2_mg_l"] = data["sulphite"]["free_needed_mg_l"]
    return {name: aim for name, aim in aims.items() if aim is not None}


def asked_for_nothing(task: str, numbers: dict[str, float | None], blend: Sequence[str]) -> bool:
    """Tell whether a task still waits for what it is to aim at."""
    needed = {
        "acid": ("acidity",),
        "gravity": ("gravity",),
        "thin": ("alcohol",),
        "blend": ("alcohol", "acidity", "sweeten_to"),
    }.get(task)
    if needed is None:
        return False
    aims = any(numbers.get(name) is not None for name in needed)
    return not aims or (task == "blend" and not blend)


def lacking(data: dict) -> list[str]:
    """Return the readings that a refusal waits for, in the logbook's columns."""
    columns = {"volume_l": "volume", "gravity": "gravity", "ph": "ph", "acidity_g_l": "ta"}
    if not data["refused"]:
        return []
    return [column for name, column in columns.items() if data["readings"][name] is None]
