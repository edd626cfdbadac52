"""One batch's story, in sentences and as tables."""

from datetime import date

import polars as pl

from pipeline.advice.first_gravity import first_gravity_doubt
from pipeline.counts import counted
from pipeline.show.listing import Listing
from pipeline.show.measures import capital, joined, measure_of
from pipeline.show.units import NOT_KNOWN, Units, gravity
from pipeline.show.words_compare import MADE
from pipeline.show.words_shelf import batch_title

BASIS = (
    "Every row that names this batch is shown as it was written; those set aside are in none of "
    "the numbers. Strength and sugar left are worked out from the gravities, with what was fed or "
    "poured in on the way; a dash is what no row tells."
)
NOTHING_LOGGED = "No row of additions, readings, transfers or tastings names it yet."
_STATES = {
    "fermenting": "is fermenting",
    "stuck": "has stopped with sugar left",
    "ageing": "is ageing",
    "bottled": "is in bottles",
    "lost": "was lost",
}


def batch_answer(batch: dict, units: Units) -> str:
    """Say in one sentence where a batch stands.

    Parameters
    ----------
    batch : dict
        A row of the cellar's batches.
    units : Units
        The logbook's.
    """
    measures = (("last_gravity", "at {}"), ("alcohol", "of {}"), ("residual_sugar_g_l", "with {}"))
    parts = []
    for column, words in measures:
        if batch[column] is not None:
            measure = measure_of(column, units)
            unit = " of sugar left" if column == "residual_sugar_g_l" else ""
            parts.append(words.format(measure.write(batch[column])) + unit)
    if batch["bottles"]:
        parts.append(f"{counted(round(batch['bottles']), 'bottle')} filled")
    state = _STATES.get(batch["state"], batch["state"])
    told = f", {', '.join(parts)}" if parts else ""
    return f"{batch_title(batch)} {state}{told}; begun on {day_words(batch['started_on'])}."


def day_words(day: date | None) -> str:
    """Write a day as people say it."""
    return NOT_KNOWN if day is None else f"{day.day} {day:%B %Y}"


def facts_listing(batch: dict, units: Units) -> Listing:
    """Return what is known of a batch as a whole, what is not known left out."""
    facts = [
        ("recipe", batch["recipe"]),
        ("yeast", batch["yeast"]),
        ("fruit", _fruit(batch, units)),
        ("days on the fruit", _written(batch, "contact_days", units)),
        ("made with", MADE.get(batch["made"] or "")),
        ("drawn out", batch["extraction"]),
        ("aimed at", _written(batch, "target_volume_l", units)),
        ("gravity at the start", _start(batch)),
        ("gravity at the end", _written(batch, "final_gravity", units)),
        ("strength", _written(batch, "alcohol", units)),
        ("sugar left", _written(batch, "residual_sugar_g_l", units)),
        ("warmth of the must", _written(batch, "must_temperature_mean_c", units)),
        ("bottled", _bottled(batch, units)),
        ("score", _written(batch, "score", units)),
        ("harshness", _written(batch, "harshness", units)),
        ("notes", batch["notes"]),
    ]
    rows = [(name, str(text)) for name, text in facts if text and text != NOT_KNOWN]
    return Listing(("what", "as far as it is known"), rows, left=("as far as it is known",))


def _written(batch: dict, column: str, units: Units) -> str:
    return measure_of(column, units).write(batch[column])


def _fruit(batch: dict, units: Units) -> str:
    if batch["fruit_kg"] is None or not batch["main_fruit"]:
        return ""
    more = f" and {counted(batch['fruits'] - 1, 'other')}" if batch["fruits"] > 1 else ""
    load = batch["fruit_load_kg_l"]
    of = "" if load is None else f", {units.load(load)} of the volume aimed at"
    return f"{units.mass(batch['fruit_kg'])} of {batch['main_fruit']}{more}{of}"


def _start(batch: dict) -> str:
    if batch["original_gravity"] is None:
        return ""
    text = gravity(batch["original_gravity"])
    if not batch["is_original_gravity_doubtful"]:
        return text
    return f"{text}, and {gravity(batch['original_gravity_by_mass'])} by what went in"


def _bottled(batch: dict, units: Units) -> str:
    if batch["bottled_l"] is None:
        return ""
    volume, share = _written(batch, "bottled_l", units), batch["finished_fraction"]
    return volume if share is None else f"{volume}, {share:.0%} of the volume aimed at"


def balance_listing(found: pl.DataFrame, units: Units) -> Listing:
    """Set what the batch holds beside the maker's other batches."""
    rows = []
    for row in found.iter_rows(named=True):
        measure = measure_of(row["measure"], units)
        low, middle, high = (measure.write(row[key]) for key in ("low", "middle", "high"))
        span = low if low == high else f"{low} to {high}, most near {middle}"
        others = span if row["others"] else NOT_KNOWN
        rows.append((measure.name, measure.write(row["value"]), others))
    return Listing(("what", "this batch", "your other batches"), rows, left=("your other batches",))


def volumes_listing(found: pl.DataFrame, target_l: float | None, units: Units) -> Listing:
    """One row per stage: when, how much, and the share of the volume aimed at."""
    rows = [
        (
            row["stage"] + ("" if row["is_measured"] else ", worked out"),
            "" if row["happened_on"] is None else row["happened_on"].isoformat(),
            units.volume(row["volume_l"]),
            f"{row['volume_l'] / target_l:.0%}" if target_l else "",
            units.volume(row["topped_up_l"]) if row["topped_up_l"] else "",
        )
        for row in found.iter_rows(named=True)
    ]
    return Listing(("stage", "date", "volume", "of the aim", "topped up with"), rows)


def glasses_answer(glasses: pl.DataFrame, batch: dict, units: Units) -> str:
    """Say how many glasses were tasted by whom, and what they came to."""
    if glasses.is_empty():
        return "No glass of it has been tasted yet."
    tasters = glasses["taster"].drop_nulls().unique(maintain_order=True).to_list()
    said = [
        f"{name} {measure_of(name, units).write(batch[name])}"
        for name in ("score", "harshness")
        if batch[name] is not None
    ]
    means = f": {joined(said)} on average" if said else ""
    return f"{capital(counted(glasses.height, 'glass', 'glasses'))} by {joined(tasters)}{means}."


def cost_answer(batch: dict, priced: tuple[int, int], units: Units) -> str:
    """Say what the batch cost, and what of it no row tells."""
    known, added = priced
    if not known or batch["cost"] is None:
        return "What it cost is not known: no addition has a cost."
    text = f"What went in cost {units.money(batch['cost'])}"
    if batch["cost_per_bottle"] is not None:
        text += f", {units.money(batch['cost_per_bottle'])} a bottle"
    if known < added:
        text += f"; {added - known} of {counted(added, 'addition')} have no cost logged"
    return f"{text}."


def gravity_title(batch: dict) -> str:
    """Say from where to where the gravity went."""
    first, last = batch["original_gravity"], batch["last_gravity"]
    if last is None:
        return "No gravity was read"
    if first is None or not batch["last_day"]:
        return f"The gravity was last {gravity(last)}"
    days = counted(round(batch["last_day"]), "day")
    return f"The gravity went from {gravity(first)} to {gravity(last)} in {days}"


def volume_title(batch: dict, units: Units) -> str:
    """Say how much was aimed at and how much there was at last."""
    last = next((name for name in _LAST if batch[name[0]] is not None), None)
    if last is None:
        return "No volume was measured after the start"
    got = f"{units.volume(batch[last[0]])} {last[1]}"
    aim = batch["target_volume_l"]
    return f"{got}, of {units.volume(aim)} aimed at" if aim else got


_LAST = (("bottled_l", "bottled"), ("racked_l", "racked"), ("strained_l", "strained"))


def doubts(batch: dict, units: Units) -> list[str]:
    """Say what of the batch is not to be relied on."""
    lines = []
    if doubt := first_gravity_doubt(batch, units.show):
        lines.append(f"{capital(doubt.text)}.")
    if batch["alcohol"] is None:
        lines.append(
            "Its strength is not known: the gravity at the start, or something that changed it, is "
            "missing."
        )
    return lines
