"""Recipes or batches side by side, in sentences and as tables."""

import polars as pl

from pipeline.counts import counted
from pipeline.show.listing import Listing
from pipeline.show.measures import Estimate, Measure, is_apart, measure_of
from pipeline.show.units import NOT_KNOWN, Units
from pipeline.show.words_doubts import doubt_lines
from pipeline.show.words_harsh import factor_name
from pipeline.show.words_recipes import effect_text
from pipeline.show.words_shelf import batch_choices

BASIS = (
    "In brackets: what nine in ten such batches will show. Beside them stands how much repeats of "
    "one recipe differ in your logbook: a smaller difference than that is chance."
)

Value = Estimate | float | str | None
_MANY = {"glass": "glasses", "batch": "batches"}  # what has a score of its own
ALL = "all_together"  # the entry that speaks of every difference at once
FELT = {"points": 1.0, "L": 0.5, "1": 0.1, "SG": 0.005, "% vol": 1.0}  # about equally felt
MADE = {
    "to_mark": "water up to the mark",
    "on_top": "water beside the fruit",
    "both": "water both ways",
    "none": "no water",
}


def compare_answer(data: dict, units: Units) -> str:
    """Say how the second differs from the first, and which difference matters most."""
    first, second = data["columns"][:2]
    parts = _all_in_all(data, units)
    weighty = mattering(data["differences"])
    if weighty:
        top = weighty[0]
        clear = {key: estimate for key, estimate in top["effect"].items() if is_apart(estimate)}
        parts.append(
            f"What matters most of what differs is {factor_name(top['factor'])} "
            f"({_values(top, units)}): {effect_text(clear, units)}."
        )
    elif any(difference["factor"] != ALL for difference in data["differences"]):
        parts.append("Your batches cannot tell which single difference matters.")
    else:
        parts.append(f"{first} and {second} do not differ in anything known to matter for taste.")
    return " ".join(parts)


def _all_in_all(data: dict, units: Units) -> list[str]:
    """Say what the second gives beside the first, all differences together, where it is clear."""
    first, second = data["columns"][:2]
    whole = [difference for difference in data["differences"] if difference["factor"] == ALL]
    clear = {
        key: estimate
        for difference in whole[:1]
        for key, estimate in difference["effect"].items()
        if is_apart(estimate)
    }
    if not clear:
        return [f"Your batches cannot tell {first} and {second} apart, all in all."]
    return [f"{second} beside {first}, all in all: {effect_text(clear, units)}."]


def mattering(differences: list[dict]) -> list[dict]:
    """Return the differences with an effect told apart from nought, the most felt first."""
    clear = [
        d
        for d in differences
        if d["factor"] != ALL and any(is_apart(e) for e in d["effect"].values())
    ]
    return sorted(clear, key=lambda d: -max(_weight(e) for e in d["effect"].values()))


def _weight(estimate: Estimate) -> float:
    """Return how much an effect is felt, so that litres and points compare; 0 if it may be none."""
    if not is_apart(estimate):
        return 0.0
    return abs(estimate["value"]) / FELT.get(estimate["unit"], 1.0)


def _values(difference: dict, units: Units) -> str:
    a, b = (_cell(difference["factor"], difference[end], units) for end in ("a", "b"))
    return f"{a} against {b}"


def _cell(measure: str, value: Value, units: Units) -> str:
    if isinstance(value, bool):
        return "yes" if value else "no"
    if measure == "made" and isinstance(value, str):
        return " / ".join(MADE.get(part, part) for part in value.split(" / "))
    if isinstance(value, str):
        return units.told(value)
    return measure_of(measure, units).full(value)


def sides_listing(data: dict, units: Units) -> Listing:
    """One row per measure, one column per recipe or batch, beside what repeats differ by."""
    rows = []
    for row in data["rows"]:
        measure = measure_of(row["measure"], units)
        spread = row["spread_between_repeats"]
        rows.append(
            (
                measure.name,
                *(_cell(row["measure"], value, units) for value in row["values"]),
                NOT_KNOWN if spread is None else f"±{measure.difference().write(spread)[1:]}",
            )
        )
    return Listing(("", *data["columns"], "repeats differ by"), rows)


def differences_listing(data: dict, units: Units) -> Listing:
    """One row per thing that differs, with what it does."""
    first, second = data["columns"][:2]
    rows = [
        (
            factor_name(d["factor"]),
            _cell(d["factor"], d["a"], units),
            _cell(d["factor"], d["b"], units),
            effect_text(d["effect"], units),
        )
        for d in mattering(data["differences"])
        + [d for d in data["differences"] if d["factor"] != ALL and not mattering([d])]
    ]
    return Listing(("what differs", first, second, "what it does"), rows, left=("what it does",))


def tasted_lines(data: dict, units: Units) -> list[str]:
    """Say what the scores so far tell of two sides, and how many more would tell them apart."""
    return [_tasted(found, measure_of("score", units)) for found in data.get("tasted", ())]


def weighed_lines(data: dict) -> list[str]:
    """Say why what differs may be another number than the one that was read."""
    read = {
        row["measure"]
        for row in data["rows"]
        if any(isinstance(value, float) for value in row["values"])
    }
    differs = {difference["factor"] for difference in data["differences"]}
    if not read & differs & {"alcohol", "residual_sugar", "acidity"}:
        return []
    return [
        "Of what differs, strength, sugar and acid are what was read, weighed with what went in: "
        "one reading is often further off than the sum."
    ]


def _tasted(found: dict, measure: Measure) -> str:
    scores, change = found["scores"], measure.difference()
    gap, low, high = (change.write(scores["difference"][end]) for end in ("value", "low", "high"))
    said = (
        f"As tasted so far, {found['b']} beside {found['a']}: score {gap}, nineteen times in "
        f"twenty between {low} and {high}"
    )
    if scores["is_apart"]:
        return f"{said}. That is more than luck."
    needed = scores["scores_each_to_see_it"]
    if needed is None:
        return f"{said}. They cannot be told apart, and no number of tastings would."
    more = counted(needed, found["each"], _MANY[found["each"]])
    return (
        f"{said}. These scores cannot tell them apart; if the gap is truly that large, it takes "
        f"about {more} of each to see it four times in five."
    )


def compare_doubts(data: dict) -> list[str]:
    """Return what stands against the comparison."""
    return doubt_lines([data])


def planned_names(musts: pl.DataFrame) -> list[str]:
    """Return the recipes of recipes.csv, by name."""
    return sorted(musts.filter(pl.col("is_planned"))["must_id"])


def comparable(musts: pl.DataFrame, batches: pl.DataFrame) -> dict[str, str]:
    """Return what can be compared, recipes first, then batches newest first, each in words."""
    recipes = {name: f"recipe: {name}" for name in planned_names(musts)}
    return recipes | batch_choices(batches)
