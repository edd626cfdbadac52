"""A recipe written out, in sentences and as tables: what goes in, and what to do when."""

import re

from pipeline.show.listing import Listing
from pipeline.show.measured import dose, in_parts, liquid, sugar, weight
from pipeline.show.measures import capital, joined, measure_of
from pipeline.show.units import NOT_KNOWN, Units

_SUGARS = ("sugar", "honey")
GUIDE = (
    "A day with 'about' before it is a guide: there the wine decides. What you read, write down "
    "here and then in the logbook."
)
# What is to be written down at a step; {t} and {v} are the units of warmth and volume.
_BLANKS = {
    "start": ("volume, {v}", "warmth, {t}"),
    "enzyme": ("warmth, {t}",),
    "yeast": ("gravity", "warmth, {t}", "pH"),
    "feed": ("gravity before", "gravity after", "warmth, {t}"),
    "add": ("how much",),
    "fruit_out": ("volume, {v}", "gravity"),
    "rack": ("volume, {v}", "gravity", "topped up, {v}"),
    "cold": ("day",),
    "check": ("gravity", "a fortnight later", "pH", "acidity, g/L"),
    "stabilise": ("sulphite, g", "sorbate, g"),
    "sweeten": ("sugar, g/L", "gravity"),
    "bottle": ("gravity", "bottles"),
    "taste": ("score", "harsh, 0 to 10", "what of it"),
}
# Where the reference table has a note from; it stands there, and is left out for the kitchen.
_SOURCE = re.compile(r" \([^()]*(?:\([^()]*\)[^()]*)*\d[^()]*\)")
_ODD_PIECES = 0.1  # a packet or tablet further off a quarter than this is not offered


def sheet_answer(data: dict, units: Units) -> str:
    """Say in one sentence what is made, how large a vessel it takes and when it starts."""
    made = liquid(data["target_volume_l"], units)
    vessel = data["vessel"]
    room = (
        f" in a bucket of at least {liquid(vessel['smallest_l'], units)}"
        if vessel
        else "; how large a bucket it takes is not known, because an amount is missing"
    )
    return f"{data['recipe']}: {made} of wine, started on {data['start']}{room}."


def vessel_lines(data: dict, units: Units) -> list[str]:
    """Say what fills the bucket and the jar, and what the must should read."""
    lines = []
    if vessel := data["vessel"]:
        lines.append(
            f"Everything together takes {liquid(vessel['filled_l'], units)}; a fifth more is for "
            f"the cap of fruit and the foam. Strained it is about {liquid(vessel['jar_l'], units)}."
        )
    expected = data["expected"]["original_gravity"]
    if expected:
        lines.append(
            "What goes in comes to a gravity of about "
            f"{measure_of('original_gravity', units).write(expected)}, once the fruit has given "
            "all its sugar and juice. A reading on the first days is before that: 'hedgerow "
            "predict' tells where yours began."
        )
    if data["expected"]["acidity_g_l"] is not None:
        acid = measure_of("acidity", units).write(data["expected"]["acidity_g_l"])
        lines.append(f"Acid, by what goes in: about {acid} as tartaric; measure it.")
    if data["ferment_temperature_c"] is not None:
        lines.append(f"Keep it at about {units.temperature(data['ferment_temperature_c'])}.")
    if data["cost"]:
        lines.append(f"What goes in costs about {units.money(data['cost'])}.")
    return lines


def lines_listing(data: dict, units: Units) -> Listing:
    """One row per thing that goes in, in the order of the days."""
    rows = [
        (_thing(line, data), amount_text(line, units), f"day {line['day']:g}")
        for line in data["lines"]
    ]
    return Listing(("what", "how much", "when"), rows, left=("how much", "when"))


def _thing(line: dict, data: dict) -> str:
    if line["kind"] == "yeast":
        return f"yeast, {data['yeast'] or line['ingredient']}"
    words = [line["ingredient"], line["form"]]
    if line["is_frozen"]:
        words.append("frozen first")
    if line["skins"]:
        words.append(f"skins {line['skins']}")
    return ", ".join(word for word in words if word)


def _name(line: dict, data: dict) -> str:
    is_yeast = line["kind"] == "yeast"
    return f"yeast ({data['yeast'] or line['ingredient']})" if is_yeast else line["ingredient"]


def amount_text(line: dict, units: Units) -> str:
    """Write a line's amount as it can be measured."""
    pieces = _pieces(line)
    if line["is_to_mark"]:
        return f"up to the mark of {liquid(line['amount_l'], units)}, with everything in it"
    if line["powder"]:
        return f"{dose(line['powder'])}" + (f" ({pieces})" if pieces else "")
    if pieces:
        return pieces
    if line["amount_l"] is not None:
        return liquid(line["amount_l"], units)
    if line["amount_kg"] is None:
        return f"{line['written']}, times {line['factor']:.3g}" if line["written"] else NOT_KNOWN
    if line["kind"] in _SUGARS:
        return sugar(line["amount_kg"], units)
    return weight(line["amount_kg"], units)


def _pieces(line: dict) -> str:
    """Write packets or tablets in quarters; empty where no quarter comes near."""
    count = line["pieces"]
    if not count:
        return ""
    quarters = max(round(4 * count), 1)
    if abs(quarters / 4 / count - 1) > _ODD_PIECES:
        return ""
    return f"{in_parts(quarters / 4, 4)} {line['piece']}{'s' if quarters > 4 else ''}"


def steps_listing(data: dict, units: Units) -> Listing:
    """One row per step, with its date."""
    rows = [
        (step_date(step), step["title"], step_text(step, data, units)) for step in data["steps"]
    ]
    return Listing(("day", "step", "what to do"), rows, left=("step", "what to do"))


def step_date(step: dict) -> str:
    """Write a step's day; a guide is marked, for there the wine decides."""
    if step["until"]:
        return f"{step['date']} to {step['until'][5:]}"
    return f"about {step['date']}" if step["is_guide"] else str(step["date"])


def step_text(step: dict, data: dict, units: Units) -> str:
    """Say what a step is, with what goes in at it."""
    going_in = [line for line in data["lines"] if line["line"] in step["lines"]]
    parts = [step["text"]]
    if step["cooler_than_c"] is not None:
        parts.append(f"Below {units.temperature(step['cooler_than_c'])}.")
    if step["code"] == "sweeten" and data["sweeten_to_g_l"]:
        parts.append(f"The recipe aims at {data['sweeten_to_g_l']:g} g/L of sugar.")
    if going_in:
        things = [f"{_name(line, data)} {amount_text(line, units)}" for line in going_in]
        parts.append(f"Goes in: {joined(things)}.")
    return " ".join(parts)


def step_blanks(step: dict, units: Units) -> tuple[str, ...]:
    """Return what is to be written down at a step, in the logbook's units."""
    names = {"t": units.temperature_unit, "v": units.volume_unit}
    return tuple(label.format(**names) for label in _BLANKS.get(step["code"], ()))


def fruit_lines(data: dict) -> list[str]:
    """Say what somebody who handles these fruits should know."""
    return [
        f"{capital(note['fruit'])}: {_SOURCE.sub('', note['text'])}" for note in data["fruit_notes"]
    ]


def calendar_file(data: dict, units: Units) -> bytes:
    """Return the plan as a calendar file, each step with what goes in and what to beware of."""
    from pipeline.advice.sheet.calendar import calendar_of

    texts = {one["code"]: one["text"] for one in data["cautions"]}

    def described(step: dict) -> str:
        cares = [f"Take care. {texts[code]}" for code in step["cautions"]]
        return " ".join([step_text(step, data, units), *cares])

    return calendar_of(data, described)
