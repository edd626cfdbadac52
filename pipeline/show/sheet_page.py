"""A recipe sheet as one page to print: what goes in, what to do when, and room to write."""

from datetime import date, timedelta

from pipeline.show import page
from pipeline.show import words_sheet as words
from pipeline.show.hypertext import escape
from pipeline.show.units import Units
from pipeline.show.words_doubts import caution_lines, doubt_lines

_BOX = (
    '<span style="display:inline-block;width:.9em;height:.9em;margin-right:.3em;'
    'border:1.2pt solid #2b2a28;border-radius:2px;vertical-align:-.1em"></span>'
)
_BLANK = '<span class="blank"></span>'
_CARE = '<div style="border-left:2.5pt solid #c2623f;padding-left:.6em;margin:.3em 0">'
_TOP = ("Batch", "Begun on", "By")
_MOST_DAYS = 21  # a box a day would fill the page


def sheet_html(data: dict, units: Units) -> str:
    """Return a recipe sheet as one HTML document, to print on A4 or Letter.

    Parameters
    ----------
    data : dict
        The answer of `sheet`.
    units : Units
        The logbook's.
    """
    general = [one for one in data["cautions"] if one["code"] not in _at_steps(data)]
    pieces = [
        page.paragraph(words.sheet_answer(data, units), "lead"),
        _blanks(_TOP),
        page.care(caution_lines(general)),
        page.heading("What goes in"),
        _ingredients(data, units),
        *(page.paragraph(line) for line in words.vessel_lines(data, units)),
        page.heading("What to do, and when"),
        page.paragraph(words.GUIDE, "note"),
        _steps(data, units),
    ]
    if lines := words.fruit_lines(data):
        pieces += [page.heading("About the fruit"), page.bullets(lines)]
    if lines := doubt_lines([data]):
        pieces += [page.heading("Doubts"), page.bullets(lines)]
    pieces += [page.heading("Notes"), _ruled(6)]
    return page.document(str(data["recipe"]), pieces)


def _at_steps(data: dict) -> set[str]:
    return {code for step in data["steps"] for code in step["cautions"]}


def _ingredients(data: dict, units: Units) -> str:
    """Return what goes in: a box to tick, how much, when, and room for what really went in."""
    rows = "".join(
        f"<tr><td>{_BOX}{escape(what)}</td>"
        f'<td class="words">{escape(amount)}</td><td class="words">{escape(when)}</td>'
        f"<td>{_BLANK}</td></tr>"
        for what, amount, when in words.lines_listing(data, units).rows
    )
    head = "".join(
        f'<th class="words">{escape(name)}</th>'
        for name in ("what", "how much", "when", "what went in")
    )
    table = f"<table><thead><tr>{head}</tr></thead><tbody>{rows}</tbody></table>"
    return f'<div style="overflow-x:auto">{table}</div>'


def _steps(data: dict, units: Units) -> str:
    """Return the plan: each step with its day, its cautions and room for what is read."""
    texts = {one["code"]: one for one in data["cautions"]}
    items = []
    for step in data["steps"]:
        cares = caution_lines(texts[code] for code in step["cautions"])
        care = "".join(f"{_CARE}<b>Take care.</b> {escape(text)}</div>" for text in cares)
        items.append(
            f"<li><b>{escape(_when(step))}: {escape(step['title'])}.</b> "
            f"{escape(words.step_text(step, data, units))}{care}{_days(step)}"
            f"{_blanks(words.step_blanks(step, units))}</li>"
        )
    return f'<ul class="boxes">{"".join(items)}</ul>'


def _when(step: dict) -> str:
    """Write a step's day as people say it; a guide is marked, for there the wine decides."""
    day = _day(date.fromisoformat(step["date"]))
    if step["until"]:
        return f"{day} to {_day(date.fromisoformat(step['until']))}"
    return f"about {day}" if step["is_guide"] else day


def _day(day: date) -> str:
    return f"{day.day} {_MONTHS[day.month - 1]} {day.year}"


def _days(step: dict) -> str:
    """Return a box for each day of something that is done daily."""
    if not step["until"]:
        return ""
    first, last = (date.fromisoformat(step[name]) for name in ("date", "until"))
    count = (last - first).days + 1
    if count > _MOST_DAYS:
        return ""
    days = [first + timedelta(days=number) for number in range(count)]
    boxes = " &nbsp; ".join(f"{_BOX}{day.day} {_MONTHS[day.month - 1]}" for day in days)
    return f'<p style="margin:.3em 0">{boxes}</p>'


_MONTHS = ["Jan", "Feb", "Mar", "Apr", "May", "Jun", "Jul", "Aug", "Sep", "Oct", "Nov", "Dec"]


def _blanks(labels: tuple[str, ...]) -> str:
    """Return lines to write on, each with what belongs there; nothing if there are none."""
    if not labels:
        return ""
    lines = " &nbsp; ".join(
        f'<span style="white-space:nowrap">{escape(label)} {_BLANK}</span>' for label in labels
    )
    return f'<p style="margin:.5em 0 .2em;line-height:2">{lines}</p>'


def _ruled(count: int) -> str:
    """Return empty lines over the whole width."""
    return '<div class="blank" style="width:100%;height:2em"></div>' * count
