"""What a column of old notes can be taken for, in words."""

from collections.abc import Mapping

from pipeline.logbook.contract import FILES, KINDS, STEPS
from pipeline.logbook.importing import targets

ACIDS = next(one.choices for one in FILES["readings"] if one.name == "ta_as")

_MEANINGS = {
    "batch_id": "which batch it is",
    "date": "the day of the row",
    "day": "days since the start",
    "additions.unit": "unit of the amount beside it",
    "alcohol": "alcohol as noted (kept in the notes)",
    "notes": "kept in the notes",
    "batches.name": "name of the batch",
    "batches.started_on": "the day it was put together",
    "batches.recipe": "recipe",
    "batches.yeast": "yeast",
    "batches.target_volume": "wine aimed at",
    "batches.gallon": "which gallon is meant",
    "batches.extraction": "how the fruit was drawn out",
    "batches.status": "where the batch stands",
    "additions.added_on": "the day it went in",
    "additions.kind": "sort of thing that went in",
    "additions.ingredient": "name of what went in",
    "additions.amount": "how much went in",
    "additions.form": "how the fruit was prepared",
    "additions.skins": "skins on or off",
    "additions.ripeness": "how ripe the fruit was",
    "additions.removed_on": "the day the fruit came out",
    "additions.cost": "money paid for it",
    "readings.taken_on": "the day it was measured",
    "readings.gravity": "gravity",
    "readings.instrument": "hydrometer or refractometer",
    "readings.temperature": "temperature of the sample",
    "readings.must_temperature": "temperature of the must",
    "readings.ph": "pH",
    "readings.ta": "titratable acidity",
    "readings.ta_as": "the acid it is expressed as",
    "readings.free_so2": "free sulphur dioxide",
    "readings.volume": "how much is in the vessel",
    "transfers.moved_on": "the day it was moved",
    "transfers.step": "what was done",
    "transfers.pressed": "how hard it was pressed",
    "transfers.volume_after": "wine after the step",
    "transfers.topped_up": "volume topped up",
    "transfers.topped_up_with": "what it was topped up with",
    "transfers.bottles": "number of bottles",
    "tastings.tasted_on": "the day it was tasted",
    "tastings.taster": "who tasted it",
    "tastings.sweetened_to": "sugar stirred into the glass",
    "tastings.blind": "tasted blind or not",
    "tastings.sweetness": "sweetness",
    "tastings.sourness": "sourness",
    "tastings.astringency": "astringency",
    "tastings.bitterness": "bitterness",
    "tastings.warmth": "warmth",
    "tastings.body": "body",
    "tastings.fruit": "fruit in the taste",
    "tastings.score": "score",
    "tastings.faults": "faults",
}
_STEPS = {
    "strain": "after straining",
    "rack": "after racking",
    "chill": "after chilling",
    "bottle": "at bottling",
}
_WHENS = {"start": "at the start", "end": "at the end"}


def meanings() -> dict[str, str]:
    """Return everything a column can be taken for, with its words, the likeliest first."""
    return {target: _MEANINGS[target] for target in targets()}


def column_meaning(column: Mapping[str, str]) -> str:
    """Say what one column is taken for: ``how much went in: white sugar, in kg``."""
    if column["to"] == "notes":
        return _MEANINGS["notes"]
    details = [
        column["ingredient"] or column["kind"],
        _STEPS.get(column["step"], column["step"]),
        _WHENS.get(column["when"], column["when"]),
        f"as {column['basis']}" if column["basis"] else "",
        f"in {column['unit']}" if column["unit"] else "",
    ]
    said = ", ".join(part for part in details if part)
    return f"{_MEANINGS[column['to']]}{': ' if said else ''}{said}"


CHANGE = "Change what a column is taken for"
CHOOSE_COLUMN = "Choose a column"
IT_IS = "It is"
NOT_SAID = "not said"
EACH_ROW = "Each row of the sheet is"
ROWS = {"batches": "one batch", "entries": "one addition, reading or glass"}
DETAILS = {
    "kind": "Sort of thing",
    "ingredient": "Which one, if it is always the same",
    "unit": "Unit of bare numbers, such as kg, L, F or Bx",
    "step": "Of which step",
    "when": "When: start, end, day 3, a date, or nothing for the row's own day",
    "basis": "Acid it is expressed as",
}
DETAIL_CHOICES = {"kind": KINDS, "step": STEPS, "basis": ACIDS}
_DETAILS_OF = {
    "additions.amount": ("kind", "ingredient", "unit"),
    "additions.ingredient": ("kind",),
    "readings.ta": ("unit", "basis", "when"),
    "batches.target_volume": ("unit",),
    "tastings.sweetened_to": ("unit",),
    "transfers.volume_after": ("step", "unit"),
    "transfers.topped_up": ("step", "unit"),
}


def details_of(target: str) -> tuple[str, ...]:
    """Return what else has to be known of a column that is taken for `target`."""
    if target in _DETAILS_OF:
        return _DETAILS_OF[target]
    file = target.partition(".")[0]
    return {"readings": ("unit", "when"), "transfers": ("step",)}.get(file, ())
