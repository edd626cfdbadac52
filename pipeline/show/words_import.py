"""What is said of old notes on their way in: the command and the page say the same."""

from collections.abc import Iterable, Iterator
from pathlib import Path

from pipeline.counts import counted
from pipeline.logbook.importing import LEAVE
from pipeline.show.listing import Listing
from pipeline.show.measures import joined
from pipeline.show.words_import_columns import column_meaning

SHOWN = 12
LAYOUTS = {"batches": "one row is one batch", "entries": "one row is one entry"}
_OUTCOMES = {
    "written": "{} new",
    "already_there": "{} there already",
    "replaced": "{} of the last import replaced",
    "contradicted": "{} not written, the logbook says otherwise",
    "changed_since": "{} left as you have changed them",
}
_CHOICES = {
    ("dates", "day-first"): "the day (3 April)",
    ("dates", "month-first"): "the month (4 March)",
    ("decimal", ","): "a comma: 1,5 is one and a half",
    ("decimal", "."): "a point: 1.5 is one and a half",
    ("decimal", "mixed"): "both occur",
    ("gallon", "us"): "US, 3.785 L",
    ("gallon", "imperial"): "imperial, 4.546 L",
    ("blank_batch", "above"): "yes, to the batch above",
    ("blank_additions", "unknown"): "not known",
    ("blank_additions", "none"): "none went in",
    ("large_doses", "yes"): "yes, that is what went in",
    ("encoding", "cp1252"): "western Europe (Windows-1252)",
    ("encoding", "cp1250"): "central Europe (Windows-1250)",
    ("encoding", "iso8859-2"): "central Europe (ISO 8859-2)",
    ("encoding", "cp1251"): "Cyrillic (Windows-1251)",
    ("encoding", "cp1253"): "Greek (Windows-1253)",
    ("encoding", "cp1254"): "Turkish (Windows-1254)",
    ("encoding", "mac_roman"): "western Europe, old Macintosh",
    ("encoding", "cp850"): "western Europe, old DOS",
}
NOT_SAID = "I cannot say: hold those cells back"
_ENTRIES = {
    "batches.csv": ("batch", "batches"),
    "additions.csv": ("addition", "additions"),
    "readings.csv": ("reading", "readings"),
    "transfers.csv": ("transfer", "transfers"),
    "tastings.csv": ("tasting", "tastings"),
}


def source_line(sheet: dict) -> str:
    """Say how a sheet was read: ``UTF-8, commas; one row is one batch``."""
    names = {",": "commas", ";": "semicolons", "\t": "tabs", "|": "bars", "": ""}
    mark = names.get(sheet["delimiter"], sheet["delimiter"])
    return f"{sheet['encoding']}{', ' + mark if mark else ''}; {LAYOUTS[sheet['layout']]}"


def counts_lines(sheet: dict) -> list[str]:
    """Say what became of every line and every cell; the parts add up."""
    counts = sheet["counts"]
    lines = [
        f"{counted(counts['lines'], 'line')}, {counted(counts['records'], 'record')}: "
        f"{counts['rows']} read, {counts['rows_set_aside']} set aside",
        f"{counted(counts['cells'], 'cell')}: {counts['cells_loaded']} loaded, "
        f"{counts['cells_held']} held back, {counts['cells_rejected']} no value, "
        f"{counts['cells_empty']} empty",
    ]
    if sheet["is_turned"]:
        lines.append("its names stand down the first column: 'line 2' below is the second column")
    return lines


def caution_lines(cautions: Iterable[dict]) -> list[str]:
    """Say what looks wrong or dangerous, and where."""
    return [f"line {one['line']}, {one['batch']}: {one['text']}" for one in cautions]


def conversion_lines(cells: Iterable[dict]) -> list[str]:
    """Show one cell for each column and rule, and how many others were read so."""
    alike: dict[tuple[str, str], list[dict]] = {}
    for cell in cells:
        alike.setdefault((cell["heading"], cell["rule"]), []).append(cell)
    lines = []
    for same in alike.values():
        first = same[0]
        became = f" → {first['text']}" if first["text"] else ""
        more = f", and {counted(len(same) - 1, 'more cell')}" if len(same) > 1 else ""
        lines.append(
            f"line {first['line']}, {first['heading']}: {first['written']}{became}  "
            f"({first['rule']}){more}"
        )
    return lines


def kept_back_lines(cells: Iterable[dict]) -> list[str]:
    """Show cells of one column that wait for the same reason together, each as written."""
    alike: dict[tuple[str, str], list[dict]] = {}
    for cell in cells:
        alike.setdefault((cell["heading"], cell["reason"]), []).append(cell)
    lines = []
    for (heading, reason), same in alike.items():
        written = ", ".join(f"{cell['written']} (line {cell['line']})" for cell in same[:SHOWN])
        more = f" and {len(same) - SHOWN} more" if len(same) > SHOWN else ""
        readings = list(dict.fromkeys(one for cell in same for one in cell["readings"]))[:SHOWN]
        likely = f" Perhaps: {', '.join(readings)}." if readings else ""
        lines.append(f"{heading}: {written}{more}: {reason}.{likely}")
    return lines


def aside_lines(lines: Iterable[dict]) -> list[str]:
    """Show lines that are no row of data, each with its raw text and why."""
    return [f"line {one['line']}: {one['raw']}  ({one['reason']})" for one in lines]


def waiting_lines(rows: Iterable[dict]) -> list[str]:
    """Say which rows are written but set aside by the check until a cell is filled in."""
    return [
        f"line {row['line']}, {row['batch_id']}: {row['says'] or row['file']} lacks "
        f"{joined([name.replace('_', ' ') for name in row['missing']])}"
        for row in rows
    ]


def open_questions(sheet: dict) -> Iterator[dict]:
    """Yield the questions of a sheet that have no answer yet."""
    return (question for question in sheet["questions"] if not question["answer"])


def open_starts(sheet: dict) -> list[str]:
    """Return the batches whose first day nobody has said."""
    return [start["batch"] for start in sheet["starts"] if not start["answer"]]


def outcome_lines(files: dict | None) -> list[str]:
    """Say of each of the logbook's files how many rows became what."""
    lines = []
    for name, counts in (files or {}).items():
        said = [text.format(counts[key]) for key, text in _OUTCOMES.items() if counts[key]]
        if said:
            lines.append(f"{name}: {', '.join(said)}")
    return lines


def choice_words(key: str, choice: str) -> str:
    """Return a choice of a question in words."""
    return NOT_SAID if choice in ("", LEAVE) else _CHOICES.get((key, choice), choice)


def encodings(found: str) -> list[str]:
    """Return the encodings to choose from, the one that was found first."""
    known = [choice for key, choice in _CHOICES if key == "encoding"]
    return [found, *(name for name in known if name != found)]


def found_answer(sheets: list[dict]) -> str:
    """Say in a sentence how far the notes could be read."""
    total = {
        name: sum(sheet["counts"][f"cells_{name}"] for sheet in sheets)
        for name in ("loaded", "held", "rejected")
    }
    filled = sum(total.values())
    parts = [f"{total['loaded']} of {counted(filled, 'filled cell')} can be read"]
    if total["held"]:
        parts.append(f"{total['held']} {_wait(total['held'])} for your answer")
    if total["rejected"]:
        parts.append(f"{total['rejected']} {_hold(total['rejected'])} no value")
    return f"{joined(parts)}."


def _wait(number: int) -> str:
    return "waits" if number == 1 else "wait"


def _hold(number: int) -> str:
    return "holds" if number == 1 else "hold"


def would_write(sheets: list[dict]) -> str:
    """Say how many rows the notes would become."""
    rows: dict[str, int] = {}
    for sheet in sheets:
        for name, found in sheet["rows"].items():
            rows[f"{name}.csv"] = rows.get(f"{name}.csv", 0) + len(found)
    return f"They become {_entries(rows)}." if rows else "Nothing in them can be written yet."


def _entries(rows: dict[str, int]) -> str:
    return joined([counted(count, *_ENTRIES[file]) for file, count in rows.items() if count])


def written_answer(sheets: list[dict]) -> str:
    """Say in a sentence what an import has written."""
    rows: dict[str, int] = {}
    for sheet in sheets:
        for file, counts in (sheet["written"] or {}).items():
            rows[file] = rows.get(file, 0) + counts["written"]
    new = _entries(rows)
    return f"Written: {new}." if new else "Nothing new: the logbook had all of it already."


def columns_listing(sheet: dict) -> Listing:
    """Show what each column is taken for, and why."""
    rows = [
        (column["heading"], column_meaning(column), column["evidence"])
        for column in sheet["columns"]
    ]
    return Listing(("column", "is taken for", "because"), rows, ("is taken for", "because"))


def rows_listing(rows: list[dict]) -> Listing:
    """Show the rows that one of the logbook's files would get, as it would hold them."""
    columns = [name for name in rows[0] if any(row[name] for row in rows)] if rows else []
    return Listing(columns, [[row[name] or "" for name in columns] for row in rows])


def kept_where(sheet: dict) -> str:
    """Say where the answers and the list of every cell are kept."""
    report, mapping = Path(sheet["report"]).name, Path(sheet["mapping"]).name
    return (
        f"Every cell of {sheet['file']} is listed in imports/{report}; your answers are kept in "
        f"imports/{mapping}, so that the next sheet with this heading needs none."
    )
