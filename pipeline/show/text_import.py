"""What `import` says: what was read, what is asked, what was held back, and the next step."""

from collections.abc import Iterable, Iterator
from typing import TYPE_CHECKING

from pipeline.show import words_import
from pipeline.show.console import escape, out, table
from pipeline.show.words_import import SHOWN

if TYPE_CHECKING:
    from pipeline.show.answer import Answer


def bring(answer: "Answer") -> None:
    """Say of each sheet what was found, asked, changed, held and written; end with one step."""
    for sheet in answer.data["files"]:
        for line in _sheet(sheet):
            out(line)
    out(_next_step(answer.data))


def _sheet(sheet: dict) -> Iterator[str]:
    yield f"[b]{escape(sheet['file'])}[/b]  {escape(words_import.source_line(sheet))}"
    for line in words_import.counts_lines(sheet):
        yield f"  {line}"
    yield ""
    if not sheet["has_mapping"]:
        _columns(sheet)
    cells = sheet["cells"]
    for title, lines in (
        ("Stop and look", words_import.caution_lines(sheet["cautions"])),
        ("Read otherwise than written", words_import.conversion_lines(cells["converted"])),
        ("Held back until you say", words_import.kept_back_lines(cells["held"])),
        ("No value, counted as missing", words_import.kept_back_lines(cells["rejected"])),
        ("Lines set aside", words_import.aside_lines(sheet["set_aside"])),
        ("Set aside until filled in", words_import.waiting_lines(sheet["waiting"])),
    ):
        yield from _section(title, lines)
    # What is asked is shown whole: a question nobody sees gets no answer.
    yield from _section("Your answer is needed", _questions(sheet), most=None)
    yield from _section("Written", words_import.outcome_lines(sheet["written"]))


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


def _section(title: str, lines: Iterable[str], most: int | None = SHOWN) -> Iterator[str]:
    found = list(lines)
    if not found:
        return
    yield f"[b]{title}[/b]"
    shown = found[:most]
    for line in shown:
        yield f"  {escape(line)}"
    if len(found) > len(shown):
        yield f"  … and {len(found) - len(shown)} more; --json lists every one"
    yield ""


def _questions(sheet: dict) -> Iterator[str]:
    for question in words_import.open_questions(sheet):
        choices = f" ({', '.join(question['choices'])})" if question["choices"] else ""
        yield f"{question['key']}: {question['text']}{choices}"
        for evidence in question["evidence"]:
            yield f"    seen: {evidence}"
    starts = words_import.open_starts(sheet)
    if starts:
        shown = ", ".join(starts[:SHOWN])
        yield f"starts: on which day was each of these begun: {shown}?"
        yield "    without it a batch and all its rows are set aside"


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
    return any(words_import.open_questions(sheet)) or bool(words_import.open_starts(sheet))
