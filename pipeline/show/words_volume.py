"""Which fruit loads fill the vessel, in sentences and as a table."""

from collections import Counter
from collections.abc import Sequence
from dataclasses import replace
from operator import itemgetter

from pipeline.counts import counted
from pipeline.show.listing import Listing
from pipeline.show.measures import Estimate, Measure, capital, is_apart, joined, measure_of, negated
from pipeline.show.units import NOT_KNOWN, Units
from pipeline.show.words_doubts import doubt_lines

FULL_SHARE = 0.95  # of the volume aimed at, from which a vessel counts as full

MADE = {
    "to_mark": "water up to the mark, fruit in it",
    "on_top": "a full measure of water beside the fruit",
    "as_logged": "as you made it",
}
_BRIEFLY = {"to_mark": "made up to the mark", "on_top": "with a full measure of water"}
BASIS = (
    "A balance of what goes in and what the fruit keeps back sets the expectation; your own "
    "batches correct it, each fruit drawn towards the average of fruits as far as it is rarely "
    "made. Bands hold nine in ten new batches."
)
_NAMED = 3  # fruits named in a sentence before the table takes over


def volume_answer(data: dict, units: Units) -> str:
    """Answer 'Which fruit loads give full volume?' over all fruits."""
    fruits = data["fruits"]
    parts = [
        text
        for made in ("to_mark", "on_top")
        if (text := _made_sentence(fruits, made, units)) is not None
    ]
    if not parts:
        return "No batch yet has both its fruit and its bottled volume logged."
    thirsty = [fruit["fruit"] for fruit in fruits if fruit["litres_per_kg"]["high"] < 0]
    if thirsty:
        verb = "keeps" if len(thirsty) == 1 else "keep"
        parts.append(f"{capital(joined(thirsty))} {verb} back more liquid than comes out of it.")
    return " ".join(parts)


def _made_sentence(fruits: list[dict], made: str, units: Units) -> str | None:
    known = {
        fruit["fruit"]: entry
        for fruit in fruits
        for entry in fruit["full_volume"]
        if entry["made"] == made
    }
    if not known:
        return None
    always = [name for name, entry in known.items() if entry["always"]]
    never = [name for name, entry in known.items() if entry["never"]]
    opening = {
        "to_mark": "Made up to the mark with the fruit in it,",
        "on_top": "With a full measure of water beside the fruit,",
    }[made]
    if len(always) == len(known):
        return f"{opening} every fruit fills the vessel at every load you have tried."
    if len(never) == len(known):
        return f"{opening} no fruit fills the vessel at any load you have tried."
    some = {name: entry for name, entry in known.items() if name not in always + never}
    parts = [
        f"{_names(always)} {_fills(always)} the vessel at every load you have tried"
        if always
        else "",
        f"{'' if always else 'the vessel is full with '}{_limits(some, units)}" if some else "",
        f"{_names(never)} never {_fills(never)} it" if never else "",
    ]
    return f"{opening} {'; '.join(part for part in parts if part)}."


def _names(names: list[str]) -> str:
    """Name fruits, or count them where naming would hide the sentence."""
    return joined(names) if len(names) <= _NAMED else counted(len(names), "fruit")


def _fills(names: list[str]) -> str:
    return "fills" if len(names) == 1 else "fill"


def _limits(some: dict[str, dict], units: Units) -> str:
    load = measure_of("fruit_load", units)
    texts = [f"{name} {_limit(some[name], load)}" for name in list(some)[:_NAMED]]
    more = f", and {len(some) - _NAMED} more at some loads" if len(some) > _NAMED else ""
    return f"{', '.join(texts)}{more}"


def _limit(entry: dict, load: Measure) -> str:
    smallest, largest = entry["smallest_load"], entry["largest_load"]
    if entry["always"]:
        return "always"
    if entry["never"]:
        return "never"
    if smallest is not None and largest is not None:
        return f"from {load.write(smallest)} to {load.write(largest)}"
    if largest is not None:
        return f"up to {load.write(largest)}"
    return f"from {load.write(smallest)}" if smallest is not None else NOT_KNOWN


def fruit_answer(fruit: dict, units: Units) -> str:
    """Say of one fruit what a weight of it gives, and how much water to start with."""
    parts = [_gives(fruit, units)]
    water = _usual(fruit["water_for_full"])
    if water:
        parts.append(water_sentence(fruit["fruit"], water, units))
    return " ".join(parts)


def fruit_title(fruit: dict, units: Units) -> str:
    """Say in a few words at which loads one fruit fills the vessel."""
    load = measure_of("fruit_load", units)
    ways = [
        f"{_BRIEFLY[entry['made']]} {_fills_at(entry, load)}"
        for entry in fruit["full_volume"]
        if entry["made"] in _BRIEFLY
    ]
    return f"{capital(fruit['fruit'])} {'; '.join(ways)}" if ways else ""


def _fills_at(entry: dict, load: Measure) -> str:
    limit = _limit(entry, load)
    if entry["always"] or entry["never"]:
        return f"{limit} fills the vessel"
    return f"fills the vessel {limit}"


def _gives(fruit: dict, units: Units) -> str:
    gives: Estimate = fruit["litres_per_kg"]
    measure = measure_of("litres_per_kg", units)
    opening = f"Each {units.mass_unit} of {fruit['fruit']}"
    if not is_apart(gives):
        return (
            f"Cannot tell whether {opening.lower()} adds to what you strain off or takes from it "
            f"({measure.span(gives)})."
        )
    if gives["value"] < 0:
        return f"{opening} keeps back {measure.full(negated(gives))} more than it gives."
    return f"{opening} adds {measure.full(gives)} to what you strain off."


def water_sentence(name: str, water: dict, units: Units) -> str:
    """Say how much water fills the vessel at one load."""
    needed: Estimate = water["water_per_litre_of_target"]
    load = measure_of("fruit_load", units).write(water["fruit_load"])
    return (
        f"To fill the vessel with {name} at {load}, start with {needed['value']:.2f} times "
        f"the volume you aim for in water ({needed['low']:.2f} to {needed['high']:.2f})."
    )


def _usual(waters: list[dict]) -> dict | None:
    """Return the middle of the loads asked about: the ends are where least is known."""
    return waters[len(waters) // 2] if waters else None


def volume_listing(data: dict, units: Units) -> Listing:
    """One row per fruit: what it gives, and the loads that fill the vessel each way of making."""
    gives, load = measure_of("litres_per_kg", units), measure_of("fruit_load", units)
    bare = replace(load, unit="")
    at = _common_load(data["fruits"])
    rows = []
    for fruit in most_made_first(data):
        full = {entry["made"]: _limit(entry, bare) for entry in fruit["full_volume"]}
        rows.append(
            (
                fruit["fruit"],
                str(fruit["batches"]),
                gives.full(fruit["litres_per_kg"]),
                full.get("to_mark", NOT_KNOWN),
                full.get("on_top", NOT_KNOWN),
                _water_cell(fruit, at),
            )
        )
    headings = (
        "fruit",
        "batches",
        f"each {units.mass_unit} adds",
        f"full to the mark, {load.unit}",
        f"full on top, {load.unit}",
        f"water at {load.write(at)}",
    )
    return Listing(headings, rows, left=headings[3:5])


def _common_load(fruits: list[dict]) -> float | None:
    """Return the load at which most fruits say how much water they need; the middle if many."""
    loads = [water["fruit_load"] for fruit in fruits for water in fruit["water_for_full"]]
    counts = Counter(loads)
    most = [load for load in sorted(counts) if counts[load] == max(counts.values())]
    return most[len(most) // 2] if most else None


def _water_cell(fruit: dict, at: float | None) -> str:
    needed = next(
        (
            water["water_per_litre_of_target"]
            for water in fruit["water_for_full"]
            if water["fruit_load"] == at
        ),
        None,
    )
    return f"×{needed['low']:.2f} to {needed['high']:.2f}" if needed else NOT_KNOWN


def water_listing(fruits: Sequence[dict], units: Units) -> Listing:
    """One row per fruit and load: the water that fills the vessel, for a litre or gallon of it."""
    load = measure_of("fruit_load", units)
    rows = [
        (
            fruit["fruit"] if len(fruits) > 1 else "",
            load.write(water["fruit_load"]),
            f"×{water['water_per_litre_of_target']['value']:.2f}",
            f"{water['water_per_litre_of_target']['low']:.2f} to "
            f"{water['water_per_litre_of_target']['high']:.2f}",
        )
        for fruit in fruits
        for water in fruit["water_for_full"]
    ]
    return Listing(("fruit", "fruit load", "water, times the volume aimed at", "between"), rows)


def volume_doubts(data: dict) -> list[str]:
    """Return what stands against the answer, fruit by fruit."""
    return doubt_lines(data["fruits"], itemgetter("fruit"))


def most_made_first(data: dict) -> list[dict]:
    """Return the fruits by how many batches each answer rests on."""
    return sorted(data["fruits"], key=lambda fruit: (-fruit["batches"], fruit["fruit"]))
