"""When running batches will be done, in sentences and as a table."""

from collections.abc import Sequence
from datetime import date

from pipeline.counts import counted
from pipeline.show.listing import Listing
from pipeline.show.measures import joined, measure_of
from pipeline.show.units import NOT_KNOWN, Units

BASIS = (
    "The days ahead are drawn from how fast your finished batches fermented, this batch's own "
    "gravities so far and its warmth; the end is what your yeast and this must are expected to "
    "reach, with the sugar that its first gravity showed. Nine times in ten it lies between the "
    "two dates. Only a gravity that stays the same for weeks proves that a wine is done."
)
_NAMED = 4
_FEW = 10  # finished batches below which the pace is mostly common practice


def finish_answer(data: dict, today: date) -> str:
    """Say in one sentence what still ferments and when it should be done."""
    running, single = data["batches"], data["without_curve"]
    if not running:
        if data["without_end"]:
            return (
                f"{joined(data['without_end'])} still {_ferments(data['without_end'])}, but too "
                "few of your batches have finished to tell when it will be done: read the gravity "
                "every few days."
            )
        if not single:
            return "Nothing is fermenting."
        return (
            f"{_only_one(single)}, so that no one can say when it will be done: take the next one."
        )
    dated = [one for one in running if one["done_on"] is not None]
    overdue = [one for one in dated if date.fromisoformat(one["done_on"]["high"]) < today]
    if overdue:
        names = [one["batch"] for one in overdue]
        more = [f"{len(names) - _NAMED} more"] if len(names) > _NAMED else []
        return f"By now {joined([*names[:_NAMED], *more])} should be done: read the gravity."
    if not dated:
        return "At this pace no one can say when they will be done: look at their warmth."
    first = dated[0]
    return f"{first['batch']} should be done first, about {_day(first['done_on']['value'])}."


def _ferments(batches: Sequence[str]) -> str:
    return "ferments" if len(batches) == 1 else "ferment"


def _only_one(single: Sequence[str]) -> str:
    have = "batch that ferments has" if len(single) == 1 else "batches that ferment have"
    return f"{len(single)} {have} only one gravity yet"


def finish_note(one: dict) -> str:
    """Say below a batch's plot when it should be done."""
    if one["done_on"] is None:
        return "slow: no date can be told"
    return f"done about {_day(one['done_on']['value'])}"


def finish_listing(data: dict, units: Units) -> Listing:
    """Return each running batch's end and when it should be reached."""
    gravity = measure_of("final_gravity", units)
    rows = [
        (
            one["batch"],
            gravity.write(one["last_gravity"]),
            gravity.full(one["final_gravity"]),
            NOT_KNOWN if one["done_on"] is None else _day(one["done_on"]["value"]),
            NOT_KNOWN if one["done_on"] is None else _between(one["done_on"]),
        )
        for one in data["batches"]
    ]
    headings = ("batch", "gravity last", "expected end", "done about", "nine times in ten")
    return Listing(headings, rows, left=("batch", "done about", "nine times in ten"))


def finish_doubts(data: dict) -> list[str]:
    """Say what stands against the dates."""
    doubts = []
    if data["batches"] and data["batches_learnt_from"] < _FEW:
        learnt = counted(data["batches_learnt_from"], "finished batch", "finished batches")
        doubts.append(f"Only {learnt} tell how fast your wines ferment.")
    if data["batches"] and data["without_curve"]:
        doubts.append(f"{_only_one(data['without_curve'])}: {joined(data['without_curve'])}.")
    return doubts


def _between(days: dict) -> str:
    """Write two days as one says them: a month or year that they share is said once."""
    first, last = (date.fromisoformat(days[end]) for end in ("low", "high"))
    if first == last:
        return _day(days["high"])
    shared = next(n for n in (2, 1, 0) if first.timetuple()[:n] == last.timetuple()[:n])
    begun = " ".join([f"{first.day}", f"{first:%b}", f"{first:%Y}"][: 3 - shared])
    return f"{begun} to {_day(days['high'])}"


def _day(text: str) -> str:
    day = date.fromisoformat(text)
    return f"{day.day} {day:%b %Y}"
