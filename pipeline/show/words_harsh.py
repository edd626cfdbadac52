"""Why batches taste harsh, in sentences and as tables."""

from operator import itemgetter

from pipeline.show.listing import Listing
from pipeline.show.measures import Estimate, capital, is_apart, joined, measure_of
from pipeline.show.units import Units
from pipeline.show.words_doubts import (
    doubt_lines,
    doubt_marks,
    is_untried,
    marks_apart,
    sentence,
    told_first,
)

FACTORS = {
    "fruit": "the fruit",
    "fruit_load": "more fruit for the volume",
    "enzyme": "pectic enzyme",
    "freezing": "freezing the fruit",
    "skins": "skins left on",
    "contact_days": "days on the fruit",
    "tannin_added": "tannin added",
    "acidity": "acidity",
    "alcohol": "strength",
    "residual_sugar": "sweetness left",
    "must_temperature": "warm fermenting",
    "nitrogen_shortfall": "too little nitrogen",
    "age": "age when tasted",
    "sulphite": "sulphite",
    "ripeness": "unripe fruit",
    "yeast": "the yeast",
    "taster": "the taster",
    "crushing": "crushing the fruit",
}
BASIS = (
    "Harshness is the mean of astringency, bitterness and warmth, from 0 to 10. How severe each "
    "taster is has been taken out. Your glasses show what goes together with harshness, not what "
    "causes it: a split batch, changed in one thing only, is the proof."
)
_NAMED = 3
_TENTH = 0.05  # [points] from here on a contribution is written as a tenth or more


def factor_name(factor: str) -> str:
    """Return a factor in plain words."""
    return FACTORS.get(factor, factor.replace("_", " "))


def _of(entry: dict) -> str:
    return factor_name(entry["factor"])


def harsh_answer(data: dict, units: Units) -> str:
    """Answer 'Why do some batches taste harsh?' over all batches."""
    drivers = _of_the_wine(data["drivers"])
    if not drivers:
        return "No glass has been scored for astringency, bitterness and warmth yet."
    told = told_first(drivers)
    harsher = [d for d in told if d["effect"]["value"] > 0]
    softer = [d for d in told if d["effect"]["value"] < 0]
    parts = []
    if harsher:
        parts.append(f"Harsher glasses go with {_effects(harsher, units)}.")
    if softer:
        parts.append(f"Softer ones go with {_effects(softer, units)}.")
    if not parts:
        return "Nothing that varied between your batches clearly goes with harsh glasses yet."
    if all(is_untried(d) for d in (*harsher, *softer)):
        return f"Your batches do not tell yet. The trade expects: {' '.join(parts)}"
    return " ".join(parts)


def harsh_title(data: dict) -> str:
    """Name what makes glasses harsher and softer, without numbers."""
    told = told_first(_of_the_wine(data["drivers"]))
    sides = [
        f"{word} with {joined([factor_name(d['factor']) for d in drivers[:_NAMED]])}"
        for word, drivers in (
            ("harsher", [d for d in told if d["effect"]["value"] > 0]),
            ("softer", [d for d in told if d["effect"]["value"] < 0]),
        )
        if drivers
    ]
    if told and all(is_untried(d) for d in told):
        return f"What the trade expects: {'; '.join(sides)}"
    return capital("; ".join(sides)) or "Nothing clearly goes with harsh glasses yet"


def batch_title(data: dict) -> str:
    """Name what makes one batch harsher than the smooth ones, without numbers."""
    names = [factor_name(r["factor"]) for r in _harsher(data)[:_NAMED]]
    if not names:
        return f"{data['batch']} does not stand out from your smooth batches"
    verb = "makes" if len(names) == 1 else "make"
    return f"{capital(joined(names))} {verb} {data['batch']} harsher"


def _harsher(data: dict) -> list[dict]:
    return [
        reason
        for reason in strongest_first(data["reasons"], "contribution")
        if is_apart(reason["contribution"]) and reason["contribution"]["value"] >= _TENTH
    ]


def _of_the_wine(drivers: list[dict]) -> list[dict]:
    """Return the drivers without the taster: a severe taster does not make a wine harsh."""
    return [d for d in strongest_first(drivers) if d["factor"] != "taster"]


def _effects(drivers: list[dict], units: Units) -> str:
    points = measure_of("points", units).difference()
    return joined(
        [
            f"{factor_name(d['factor'])} ({points.span(d['effect'])}, {units.told(d['per'])})"
            for d in drivers[:_NAMED]
        ]
    )


def strongest_first(entries: list[dict], key: str = "effect") -> list[dict]:
    """Return drivers or reasons with an estimate, told-apart ones first, then by size."""
    return sorted(
        filter(itemgetter(key), entries),
        key=lambda entry: (not is_apart(entry[key]), -abs(entry[key]["value"])),
    )


def harsh_doubts(data: dict) -> list[str]:
    """Name what the logbook cannot say about, then what stands against each factor."""
    names = [factor_name(d["factor"]) for d in data["drivers"] if not is_apart(d["effect"])]
    untold = [f"Cannot tell yet whether these matter: {joined(names)}."] if names else []
    return untold + doubt_lines(data["drivers"], _of)


def drivers_listing(data: dict, units: Units) -> Listing:
    """One row per factor: points of harshness it goes with, and what stands against it."""
    points = measure_of("points", units).difference()
    drivers = strongest_first(data["drivers"])
    rows = [
        (
            factor_name(d["factor"]),
            points.full(d["effect"]),
            units.told(d["per"]),
            mark,
        )
        for d, mark in zip(drivers, marks_apart(drivers), strict=True)
    ]
    headings = ("what", "harshness, of 10", "for", "doubts")
    return Listing(headings, rows, left=headings[2:])


def batch_answer(data: dict, units: Units) -> str:
    """Answer 'Why is this batch harsh?' against the maker's own smooth batches."""
    found = _level(data, units)
    reasons = _harsher(data)
    if not reasons:
        return f"{found} Nothing about it stands out clearly from your smooth batches."
    points = measure_of("points", units).difference()
    told = joined(
        [f"{factor_name(r['factor'])} ({points.span(r['contribution'])})" for r in reasons[:_NAMED]]
    )
    if _rests_on_few(reasons):
        return (
            f"{found} Too few of your batches are tasted to say why. By general experience such a "
            f"wine gains most from {told}."
        )
    return f"{found} Against your smooth batches it gains most from {told}."


def _rests_on_few(reasons: list[dict]) -> bool:
    """Tell whether the reasons rest on general experience rather than on this logbook."""
    return all(
        any(doubt["code"] == "few_batches" for doubt in reason["doubts"]) for reason in reasons
    )


def _level(data: dict, units: Units) -> str:
    measure = measure_of("harshness", units)
    estimate: Estimate | None = data["harshness"]
    if estimate is None and data["measured"] is None:
        return f"{data['batch']} has not been tasted; expected from what went in."
    if estimate is None:
        return f"{data['batch']} was tasted at a harshness of {measure.write(data['measured'])}."
    return f"{data['batch']} has a harshness of {measure.full(estimate)}."


def batch_doubts(data: dict) -> list[str]:
    """Say which factors changed together, then what stands against each reason."""
    together = [
        f"{capital(joined([factor_name(f) for f in factors]))} changed together in your "
        "batches: only their sum is known. A split batch would tell."
        for factors in data["confounded_sets"]
    ]
    shown = reasons_shown(data)
    little = [_of(r) for r in data["reasons"] if r["contribution"] and r not in shown]
    as_usual = [f"As in the batches it is set beside: {joined(little)}."] if little else []
    return together + doubt_lines(shown, _of) + as_usual


def reasons_listing(data: dict, units: Units) -> Listing:
    """One row per reason, the largest contribution first."""
    points = measure_of("points", units).difference()
    rows = [
        (
            factor_name(r["factor"]),
            points.full(r["contribution"]),
            units.told(r["compared_with"]),
            doubt_marks(r["doubts"]),
        )
        for r in reasons_shown(data)
    ]
    headings = ("what", "harshness, of 10", "compared with", "doubts")
    return Listing(headings, rows, left=headings[2:])


def reasons_shown(data: dict) -> list[dict]:
    """Return the reasons that come to a tenth of a point either way, the largest first."""
    return [
        r
        for r in data["reasons"]
        if r["contribution"] and abs(r["contribution"]["value"]) >= _TENTH
    ]


def practice_lines(data: dict) -> list[str]:
    """Return the rule of thumb that stands beside each reason, never mixed into the numbers."""
    return [
        sentence(f"{_of(reason)}: {reason['practice']}")
        for reason in _worth_a_word(data)
        if reason["practice"]
    ]


def _worth_a_word(data: dict) -> list[dict]:
    """Return the reasons that make a batch harsher, surest first: the clear ones, else a few."""
    raised = [
        reason
        for reason in strongest_first(data["reasons"], "contribution")
        if reason["contribution"]["value"] > 0
    ]
    return (_harsher(data) or raised)[:_NAMED]


def advice_lines(data: dict, when: str) -> list[str]:
    """Return what to do `now` or `next_time`, once each, for reasons that make it harsher."""
    lines = [sentence(line) for reason in _worth_a_word(data) for line in reason[when]]
    return list(dict.fromkeys(lines))
