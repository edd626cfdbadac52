"""What is due this week, and what the years add up to."""

from datetime import date

import polars as pl

from pipeline.counts import counted
from pipeline.show.listing import Listing
from pipeline.show.measures import joined
from pipeline.show.units import Units
from pipeline.show.words_shelf import batch_title

_WHAT = {
    "stuck": "has stood still since {since}: check its warmth, strength and nitrogen",
    "fruit_out": "take the fruit out",
    "read": "read the gravity",
    "rack": "rack it off the sediment, once the gravity has stopped and the sediment lies firm",
    "bottle": "if it is clear and the gravity has not moved, bottle it; else rack once more",
    "taste": "open a bottle: it is {age} months old",
}
_HEADINGS = {
    "stuck": "Stands still, check its warmth, strength and nitrogen",
    "fruit_out": "Take the fruit out",
    "read": "Read the gravity",
    "rack": "Rack",
    "bottle": "Bottle if clear and still, else rack once more",
    "taste": "Open a bottle",
}
_NAMED = 4  # batches named in a line before the rest is counted
_SINCE = {
    "fruit_out": "the fruit went in on {since}",
    "read": "last read or begun on {since}",
    "rack": "last moved on {since}",
    "bottle": "last racked on {since}",
    "taste": "bottled on {since}",
}


def due_answer(due: pl.DataFrame) -> str:
    """Say in one sentence how many batches want something."""
    if due.is_empty():
        return "Nothing is due within a week."
    late = due.filter(pl.col("overdue_days") > 0).height
    waits = "batch waits" if due.height == 1 else "batches wait"
    text = f"{due.height} {waits} for something by a week from today"
    if not late:
        return f"{text}."
    which = "it" if due.height == 1 else f"{late} of them"
    return f"{text}; {which} should have had it already."


def due_lines(due: pl.DataFrame) -> list[str]:
    """Say what to do with which batches, one line for each kind of thing, the most urgent first."""
    lines = []
    for code, heading in _HEADINGS.items():
        asked = due.filter(pl.col("code") == code)
        if asked.is_empty():
            continue
        names = [batch_title(row) for row in asked.head(_NAMED).iter_rows(named=True)]
        more = asked.height - len(names)
        names += [f"{more} more"] if more else []
        lines.append(f"{heading}: {joined(names)}.")
    return lines


def due_listing(due: pl.DataFrame) -> Listing:
    """Return what each batch waits for, the longest overdue first."""
    rows = [
        (batch_title(row), _what(row), _when(row["overdue_days"]), _since(row))
        for row in due.iter_rows(named=True)
    ]
    headings = ("batch", "what to do", "when", "why then")
    return Listing(headings, rows, left=headings)


def _what(row: dict) -> str:
    return _WHAT[row["code"]].format(since=_day(row["since"]), age=row["age"])


def _since(row: dict) -> str:
    return _SINCE.get(row["code"], "").format(since=_day(row["since"]))


def _when(overdue_days: int) -> str:
    if overdue_days == 0:
        return "today"
    if overdue_days < 0:
        return f"in {counted(-overdue_days, 'day')}"
    if overdue_days < 14:
        return f"{counted(overdue_days, 'day')} ago"
    return f"{overdue_days // 7} weeks ago"


def _day(day: date) -> str:
    return f"{day.day} {day:%B %Y}"


DUE_BASIS = (
    "The days are those most makers keep to (common practice): fruit out after 10 days, a gravity "
    "each week, a racking a fortnight after straining and every six weeks, a glass at 3, 6 and 12 "
    "months. The wine decides, not the calendar."
)


def years_listing(totals: pl.DataFrame, units: Units) -> Listing:
    """Return what each year gave."""
    rows = [
        (
            str(row["year"]),
            str(row["batches"]),
            units.volume(row["made_l"]),
            f"{row['bottles']:.0f}" if row["bottles"] else "–",
            units.money(row["cost"]),
        )
        for row in totals.iter_rows(named=True)
    ]
    return Listing(("year", "batches", "wine", "bottles", "cost"), rows)


def home_rule(totals: pl.DataFrame, limits_l: dict[str, float], units: Units) -> str:
    """Set the fullest year beside the rule for home production, and defer to local law."""
    most = totals.sort("made_l", descending=True).row(0, named=True)
    one, more = (units.volume(limits_l[who]) for who in ("one adult", "two or more"))
    over = most["made_l"] > limits_l["one adult"]
    return (
        f"The fullest year, {most['year']}, gave {units.volume(most['made_l'])}. In the United "
        f"States a household may make {one} a year with one adult and {more} with two or more, "
        f"not for sale (27 CFR 24.75); other places have other rules or none"
        f"{': this year is above the first of these' if over else ''}. Your local law decides."
    )
