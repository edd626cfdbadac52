"""What `new`, `check` and `load` say: files, counts, and each problem shown in its row."""

from collections import Counter
from collections.abc import Iterable, Iterator
from typing import TYPE_CHECKING

from pipeline.counts import counted
from pipeline.show.console import escape, out

if TYPE_CHECKING:
    import polars as pl

    from pipeline.show.answer import Answer

SHOWN_PER_FILE = 30
SHOWN_ALIKE = 2
LINES_NAMED = 8
_NEIGHBOURS = 2  # cells shown on either side of the one at fault
_WORDS = {"error": "set aside", "warning": "loaded, but look", "notice": "for your information"}


def new(answer: "Answer") -> None:
    """Say what was written and what to do next."""
    folder = answer.data["folder"]
    out(f"A new logbook is in [b]{folder}[/b]: {', '.join(answer.data['files'])}.")
    out("Each file has its headings and one example row; write over the example.")
    out("")
    out(
        "First open logbook.toml and say which gallon you use, us or imperial: they differ by 20 %."
    )
    out(f"Then:  hedgerow check {folder}")


def check(answer: "Answer") -> None:
    """List files and problems, and end with the one thing to fix first."""
    problems = answer.data["problems"]
    for file in answer.data["files"]:
        out(_counts(file))
        for line in _file_problems(
            [problem for problem in problems if problem["file"] == file["file"]], answer.raw
        ):
            out(line)
    elsewhere = {file["file"] for file in answer.data["files"]}
    for line in _file_problems([p for p in problems if p["file"] not in elsewhere], answer.raw):
        out(line)
    out("")
    out(_totals(problems))
    if problems:
        out(f"Fix first: {fix_first(problems)}")


def load(answer: "Answer") -> None:
    """Say what was loaded, and where to look if something was not."""
    for file in answer.data["files"]:
        out(_counts(file))
    out(_totals(answer.data["problems"]))
    if answer.set_aside:
        out("See each of them, and what to type instead, with:  hedgerow check")
    # What `check`, which shall answer at once, does without.
    from pipeline.show.text_models import say_all
    from pipeline.show.words_care import care_lines

    if cautions := care_lines(answer.data.get("cautions", [])):
        out("")
        say_all("Take care", cautions)


def add(answer: "Answer") -> None:
    """Say where the entry stands, and what it made doubtful."""
    out(f"Written: {answer.data['file']} line {answer.data['line']}.")
    for problem in answer.data["problems"]:
        out(f"  {escape(problem['message'])}")
        if problem["hint"]:
            out(f"  → {escape(problem['hint'])}")


def _counts(file: dict) -> str:
    read = counted(file["rows_read"], "row")
    text = f"[b]{file['file']}[/b]  {read} read, {file['rows_loaded']} loaded"
    aside = file["rows_set_aside"]
    return f"{text}, [b]{aside} set aside[/b]" if aside else text


def _file_problems(problems: list[dict], raw: "dict[str, pl.DataFrame]") -> Iterator[str]:
    """Show every error; of warnings of one kind the first few, and where the others are."""
    errors = [problem for problem in problems if problem["level"] == "error"]
    alike: dict[tuple[str, str | None], list[dict]] = {}
    for problem in problems:
        if problem["level"] != "error":
            alike.setdefault((problem["rule"], problem["hint"]), []).append(problem)
    for problem in errors[:SHOWN_PER_FILE]:
        yield from _problem(problem, raw)
    if len(errors) > SHOWN_PER_FILE:
        yield f"  … and {len(errors) - SHOWN_PER_FILE} more set aside; --json lists every one"
    for same in alike.values():
        for problem in same[:SHOWN_ALIKE]:
            yield from _problem(problem, raw)
        if len(same) > SHOWN_ALIKE:
            yield f"    … the same in {_lines(same[SHOWN_ALIKE:])}"


def _lines(problems: list[dict]) -> str:
    numbers = [str(problem["line"]) for problem in problems]
    shown = ", ".join(numbers[:LINES_NAMED])
    more = f" and {len(numbers) - LINES_NAMED} more" if len(numbers) > LINES_NAMED else ""
    return f"{'line' if len(numbers) == 1 else 'lines'} {shown}{more}"


def _problem(problem: dict, raw: "dict[str, pl.DataFrame]") -> Iterator[str]:
    place = f"line {problem['line']}" if problem["line"] else "the file"
    column = f", {problem['column']}" if problem["column"] else ""
    yield f"  {place}{column}  ({_WORDS[problem['level']]})"
    row = _row(problem, raw)
    if row:
        yield f"    {row}"
    yield f"    {escape(problem['message'])}"
    if problem["hint"]:
        yield f"    → {escape(problem['hint'])}"


def _row(problem: dict, raw: "dict[str, pl.DataFrame]") -> str:
    """Show the cell at fault between its neighbours, as it stands in the file."""
    frame = raw.get(str(problem["file"]).partition(".")[0])
    column = problem["column"]
    if frame is None or column not in frame.columns or not problem["line"]:
        return f"[b]\\[{escape(problem['value'])}][/b]" if problem["value"] else ""
    row = frame["line"].index_of(problem["line"])
    if row is None:
        return ""
    names = [name for name in frame.columns if name not in ("line", "is_set_aside")]
    at = names.index(column)
    start = max(at - _NEIGHBOURS, 0)
    shown = names[start : at + _NEIGHBOURS + 1]
    cells = [_cell(frame[name][row], name == column) for name in shown]
    if start > 0:
        cells.insert(0, _cell(frame[names[0]][row], False))
    return " | ".join(cells)


def _cell(text: str | None, is_fault: bool) -> str:
    shown = escape(text or "")
    return f"[b]\\[{shown}][/b]" if is_fault else shown


def _totals(problems: Iterable[dict]) -> str:
    counts = Counter(problem["level"] for problem in problems)
    if not counts:
        return "Nothing to mend."
    nouns = {"error": "to mend", "warning": "to look at", "notice": "to know"}
    return ", ".join(f"{counts[level]} {noun}" for level, noun in nouns.items() if counts[level])


def fix_first(problems: list[dict]) -> str:
    """Return the one thing whose mending helps most, as a sentence.

    A batch's own row comes first, since it takes the batch's other rows with it; then the fault
    met most often, because one habit or one setting is behind it.
    """
    errors = [problem for problem in problems if problem["level"] == "error"] or problems
    owners = [problem for problem in errors if problem["file"] == "batches.csv"]
    rule, times = Counter(problem["rule"] for problem in owners or errors).most_common(1)[0]
    first = next(problem for problem in owners or errors if problem["rule"] == rule)
    place = f"{first['file']} line {first['line']}" if first["line"] else first["file"]
    places = f"{times - 1} more place{'s' if times > 2 else ''}"
    more = f"; the same is wrong in {places}" if times > 1 else ""
    hint = f" → {escape(first['hint'])}" if first["hint"] else ""
    return f"{place}: {escape(first['message'])}{hint}{more}"
