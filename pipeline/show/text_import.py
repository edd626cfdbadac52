"""What `import` says: what was read, what is asked, what was held back, and the next step."""

from collections.abc import Iterator
from typing import TYPE_CHECKING

from pipeline.show.console import escape, out, table

if TYPE_CHECKING:
    from pipeline.show.answer import Answer

SHOWN = 12
_LAYOUTS = {"batches": "one row is one batch", "entries": "one row is one entry"}
_OUTCOMES = {
    "written": "{} new",
    "already_there": "{} there already",
    "replaced": "{} of the last import replaced",
    "contradicted": "{} not written, the logbook says otherwise",
    "changed_since": "{} left as you have changed them",
}


def bring(answer: "Answer") -> None:
    """Say of each sheet what was found, asked, changed, held and written; end with one step."""
    for sheet in answer.data["files"]:
        for line in _sheet(sheet):
            out(line)
    out(_next_step(answer.data))


def _sheet(sheet: dict) -> Iterator[str]:
    counts = sheet["counts"]
    yield f"[b]{escape(sheet['file'])}[/b]  {_source(sheet)}; {_LAYOUTS[sheet['layout']]}"
    yield (
        f"  {_many(counts['lines'], 'line')}, {_many(counts['records'], 'record')}: "
        f"{counts['rows']} read, {counts['rows_set_aside']} set aside"
    )
    yield (
        f"  {_many(counts['cells'], 'cell')}: {counts['cells_loaded']} loaded, "
        f"{counts['cells_held']} held back, {counts['cells_rejected']} no value, "
        f"{counts['cells_empty']} empty"
    )
    if sheet["is_turned"]:
        yield "  its names stand down the first column: 'line 2' below is the second column"
    yield ""
    if not sheet["has_mapping"]:
        _columns(sheet)
    yield from _section("Stop and look", map(_caution, sheet["cautions"]))
    yield from _section("Read otherwise than written", _conversions(sheet["cells"]["converted"]))
    yield from _section("Held back until you say", _kept_back(sheet["cells"]["held"]))
    yield from _section("No value, counted as missing", _kept_back(sheet["cells"]["rejected"]))
    yield from _section("Lines set aside", map(_aside, sheet["set_aside"]))
    yield from _section("Your answer is needed", _questions(sheet))
    yield from _section("Written", _written(sheet["written"]))


def _source(sheet: dict) -> str:
    names = {",": "commas", ";": "semicolons", "\t": "tabs", "|": "bars", "": ""}
    mark = names.get(sheet["delimiter"], sheet["delimiter"])
    return f"{sheet['encoding']}{', ' + mark if mark else ''}"


def _many(number: int, noun: str) -> str:
    return f"{number} {noun}{'' if number == 1 else 's'}"


def _columns(sheet: dict) -> None:
    rows = [
        (
            column["heading"],
            column["to"],
            " ".join(column[key] for key in ("kind", "ingredient", "step") if column[key]),
            column["when"],
            column["unit"],
        )
        for column in sheet["columns"]
    ]
    table(("column", "becomes", "of", "when", "unit"), rows, left=("becomes", "of", "when", "unit"))


def _section(title: str, lines: Iterator[str]) -> Iterator[str]:
    found = list(lines)
    if not found:
        return
    yield f"[b]{title}[/b]"
    for line in found[:SHOWN]:
        yield f"  {line}"
    if len(found) > SHOWN:
        yield f"  … and {len(found) - SHOWN} more; --json lists every one"
    yield ""


def _caution(caution: dict) -> str:
    return f"line {caution['line']}, {escape(caution['batch'])}: {escape(caution['text'])}"


def _conversions(cells: list[dict]) -> Iterator[str]:
    """Show one cell for each column and rule, and how many others were read so."""
    alike: dict[tuple[str, str], list[dict]] = {}
    for cell in cells:
        alike.setdefault((cell["heading"], cell["rule"]), []).append(cell)
    for same in alike.values():
        first = same[0]
        became = f" → {first['text']}" if first["text"] else ""
        more = f", and {_many(len(same) - 1, 'more cell')}" if len(same) > 1 else ""
        yield escape(
            f"line {first['line']}, {first['heading']}: {first['written']}{became}  "
            f"({first['rule']}){more}"
        )


def _kept_back(cells: list[dict]) -> Iterator[str]:
    """Show cells of one column that wait for the same reason together, each as written."""
    alike: dict[tuple[str, str], list[dict]] = {}
    for cell in cells:
        alike.setdefault((cell["heading"], cell["reason"]), []).append(cell)
    for (heading, reason), same in alike.items():
        written = ", ".join(f"{cell['written']} (line {cell['line']})" for cell in same[:SHOWN])
        more = f" and {len(same) - SHOWN} more" if len(same) > SHOWN else ""
        readings = list(dict.fromkeys(one for cell in same for one in cell["readings"]))[:SHOWN]
        likely = f" Perhaps: {', '.join(readings)}." if readings else ""
        yield escape(f"{heading}: {written}{more}: {reason}.{likely}")


def _aside(line: dict) -> str:
    return escape(f"line {line['line']}: {line['raw']}  ({line['reason']})")


def _questions(sheet: dict) -> Iterator[str]:
    for question in sheet["questions"]:
        if question["answer"]:
            continue
        choices = f" ({', '.join(question['choices'])})" if question["choices"] else ""
        yield escape(f"{question['key']}: {question['text']}{choices}")
        for evidence in question["evidence"]:
            yield escape(f"    seen: {evidence}")
    starts = [start["batch"] for start in sheet["starts"] if not start["answer"]]
    if starts:
        shown = ", ".join(starts[:SHOWN])
        yield escape(f"starts: on which day was each of these begun: {shown}?")
        yield "    without it a batch and all its rows are set aside"


def _written(files: dict | None) -> Iterator[str]:
    for name, counts in (files or {}).items():
        said = [text.format(counts[key]) for key, text in _OUTCOMES.items() if counts[key]]
        if said:
            yield f"{name}: {', '.join(said)}"


def _next_step(data: dict) -> str:
    folder = escape(data["into"])
    if data["is_written"]:
        held = sum(sheet["counts"]["cells_held"] for sheet in data["files"])
        report = escape(data["files"][0]["report"])
        first = f"Every cell is listed in {report}. " if len(data["files"]) == 1 else ""
        if held or any(_is_open(sheet) for sheet in data["files"]):
            mapping = escape(data["files"][0]["mapping"])
            return (
                f"{first}Next: answer what is open in {mapping} and give the same command again; "
                "what this import wrote is then brought up to date."
            )
        return f"{first}Next:  hedgerow check {folder}"
    waiting = [sheet["mapping"] for sheet in data["files"] if not sheet["has_mapping"]]
    if waiting:
        return (
            f"Nothing is written yet. Next: look through {escape(waiting[0])}, answer what is "
            "empty, and give the same command again."
        )
    blocked = next(sheet["mapping"] for sheet in data["files"] if sheet["is_blocked"])
    return (
        f"Nothing is written: a dose must be confirmed first. Next: look at it, then write "
        f'large_doses = "yes" into {escape(blocked)}, or correct the cell there.'
    )


def _is_open(sheet: dict) -> bool:
    return any(not question["answer"] for question in sheet["questions"]) or any(
        not start["answer"] for start in sheet["starts"]
    )
