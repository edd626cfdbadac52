"""Where the numbers of an answer come from, line by line: what was typed, what was made of it."""

from collections.abc import Iterable
from dataclasses import dataclass, replace
from itertools import groupby

from pipeline.counts import counted
from pipeline.show.measures import Measure, capital, joined
from pipeline.show.trace_names import OF, measure_of_step, name_of_number, written_number
from pipeline.show.units import Units
from pipeline.show.words_harsh import FACTORS, factor_name

CELLS_SHOWN, BATCHES_SHOWN = 6, 3
SOURCE_LENGTH = 90
OWN_WORDS = "arithmetic on the logbook's own entries"
_REFERENCE = "data/reference/"
# What stands between the numbers that a number is worked out from.
_BETWEEN = {"product": " × ", "difference": " less ", "sum": " + "}
_HOW = {
    "latest": "the newest",
    "mean": "averaged",
    "largest": "the largest",
    "smallest": "the smallest",
    "count": "counted",
    "root mean square": "the root of the mean square of the errors, so that large ones weigh more",
    "share inside": "the share that fell inside their range",
    "mean width": "how wide the ranges are, averaged",
    "days": "counted from the start",
    "mark": "less what lies beneath the mark",
    "spread": "how far they lie apart",
    "chosen": "tried out, not found",
    "weighed": "each counts by how sure it is",
    "mean of repeats": "the mean of its batches",
    "ledger": "with what was fed and topped up later",
    "as usual": "with that one thing as in your usual must",
    "chance": "from how far it lies from nought, and how surely",
}
# Where a line stands, which loads were tried, which batches a model knows: for programs.
_SAID_ELSEWHERE = frozenset({"factor", "teaspoon_error", "amount_error"})
_UNTOLD = frozenset({"learnt from", "place", "chosen"})
_PARTS = {
    "physics": "worked out beforehand",
    "usual wine": "your usual wine",
    "all fruit": "your fruit in general",
    "this fruit": "this fruit's own way",
    "treatment": "cut, frozen, heat, enzyme, pressing",
    "losses": "rackings and bottling",
    "allowances": "marks and evaporation",
    "learnt": "what your batches add",
    "extract": "what is dissolved beside sugar",
    "usual must": "your usual must",
    "sugar_excess": "sugar beyond what the yeast stands",
    "heat_or_cold": "too cold or too warm for yeasts",
}


@dataclass(frozen=True)
class Line:
    """One line of the way to a number: how far in it stands, and what it says."""

    depth: int
    text: str


def trace_lines(steps: list[dict], units: Units) -> list[Line]:
    """Return the way to each number, what goes in first; whose they are stands above them.

    What is nought, where a line stands, which loads were tried and which batches a model rests on
    in all is left to the machine form.
    """
    values = {(step["of"], step["measure"]): step for step in steps}
    told = [step for step in steps if not _is_nothing(step)]
    lines: list[Line] = []
    for whose in dict.fromkeys(step["of"] for step in told):
        lines.append(Line(0, capital(whose)))
        said: set[str] = set()
        for step in told:
            if step["of"] == whose:
                # What several numbers have in common is said at the first of them.
                fresh = [line for line in _step_lines(step, values, units) if line.text not in said]
                said |= {line.text for line in fresh if line.depth > 1}
                lines += fresh
    return lines


def _is_nothing(step: dict) -> bool:
    is_known = step["measure"].partition(OF)[0] in _SAID_ELSEWHERE and OF in step["measure"]
    return not step["value"] or step["how"] in _UNTOLD or is_known


def _step_lines(step: dict, values: dict, units: Units) -> list[Line]:
    shown = written_number(step["measure"], step["value"], step["unit"], units)
    head = f"{name_of_number(step['measure'], units)} {shown}{_span(step, units)}".strip()
    origin = _origin(step, values, units)
    made = f" [{step['by']}]" if step["by"].startswith("sql/") else ""
    lines = [Line(1, (f"{head}: {origin}" if origin else head) + made)]
    further = [_parts(step, units), _learnt(step), _by(step)]
    return [*lines, *(Line(2, text) for text in further if text)]


def _origin(step: dict, values: dict, units: Units) -> str:
    """Say which cells and which other numbers a number is made from."""
    # What a model is told stands above it, number by number.
    uses = [] if step["how"] == "forecast" else step["uses"]
    told = [_used(name, step, values, units) for name in uses]
    typed = _cells(step["from"])
    how = _HOW.get(step["how"], "")
    parts = [_worked(step["how"], told), joined(typed)]
    text = "; ".join(part for part in parts if part)
    return f"{text}, {how}" if text and how else text or how


def _worked(how: str, told: list[str]) -> str:
    if how == "ratio" and len(told) > 1:
        above = told[0] if len(told) == 2 else f"({', '.join(told[:-1])})"
        return f"{above} ÷ {told[-1]}"
    return _BETWEEN.get(how, ", ").join(told)


def _used(name: str, step: dict, values: dict, units: Units) -> str:
    found = values.get((step["of"], name))
    shown = "" if found is None else written_number(name, found["value"], found["unit"], units)
    return f"{name_of_number(name, units)} {shown}".strip()


def _cells(cells: Iterable[dict]) -> list[str]:
    """Write cells as somebody looks them up: file, line, and what stands there."""
    written = [cell for cell in cells if cell["as_written"] is not None]
    rows = groupby(written, key=lambda cell: (cell["file"], cell["line"]))
    texts = [_row(file, line, list(row)) for (file, line), row in rows]
    if len(texts) > CELLS_SHOWN:
        texts = [*texts[:CELLS_SHOWN], f"{len(texts) - CELLS_SHOWN} more"]
    return texts


def _row(file: str, line: int | None, cells: list[dict]) -> str:
    place = file.removeprefix(_REFERENCE) + ("" if line is None else f" line {line}")
    is_named = line is None or file.startswith(_REFERENCE)
    told = [
        (f"{cell['column']} " if is_named else "") + f"'{cell['as_written']}'" for cell in cells
    ]
    return f"{place} {', '.join(told)}"


def _parts(step: dict, units: Units) -> str:
    """Say what adds up to a number, the largest first; what is too small to show goes together."""
    if not step["parts"]:
        return ""
    measure = _bare(step, units)
    first, *rest = step["parts"]
    rest.sort(key=lambda part: -abs(part["value"]))
    large = [part for part in rest if _shows(measure, part["value"])]
    small = sum(part["value"] for part in rest if part not in large)
    told = [f"{measure.write(first['value'])} {_part(first)}"]
    told += [f"{measure.difference().write(part['value'])} {_part(part)}" for part in large]
    if _shows(measure, small):
        told.append(f"{measure.difference().write(small)} smaller things")
    return f"= {', '.join(told)}"


def _bare(step: dict, units: Units) -> Measure:
    """Return how a step's numbers are written where the unit was just said."""
    found = measure_of_step(step["measure"], step["unit"], units)
    return replace(found, unit="", prefix="", step="")


def _shows(measure: Measure, value: float) -> bool:
    """Tell whether a change is large enough to be seen as it is written."""
    return any(digit in "123456789" for digit in measure.difference().write(value))


def _part(part: dict) -> str:
    what = part["what"]
    return factor_name(what) if what in FACTORS else _PARTS.get(what, what)


def _learnt(step: dict) -> str:
    """Say how many batches a number was learnt from, and which are most like it."""
    found = step["rests_on"]
    if not found:
        return ""
    verb = "over" if step["how"] in ("spread", "count") else "learnt from"
    text = f"{verb} {counted(found['batches'], 'batch', 'batches')}"
    alike = [
        f"{one['batch']} ({one['file']} line {one['line']})"
        for one in found["closest"][:BATCHES_SHOWN]
    ]
    return f"{text}, most like it {joined(alike)}" if alike else text


def _by(step: dict) -> str:
    """Name the function that was applied, and its source; plain sums need none."""
    source = "" if step["source"] == OWN_WORDS else step["source"]
    if step["by"].startswith(("sql/", "advice.")):
        return _shortened(source)
    return f"by {step['by']}" + (f": {_shortened(source)}" if source else "")


def _shortened(source: str) -> str:
    if len(source) > SOURCE_LENGTH:
        return source[:SOURCE_LENGTH].rsplit(" ", 1)[0] + " …"
    return source


def _span(step: dict, units: Units) -> str:
    if step["low"] is None or step["high"] is None:
        return ""
    measure = _bare(step, units)
    return f" ({measure.write(step['low'])} to {measure.write(step['high'])})"
