"""One self-contained page to print or send: no network, no script, every text escaped.

The report and a recipe's sheet are made of the pieces here. Each piece returns HTML; what it is
given is text as people typed it, and is escaped here and nowhere else.
"""

import re
import textwrap
from collections.abc import Iterable, Sequence
from pathlib import Path

import altair as alt

from pipeline.errors import HedgerowError
from pipeline.files import written_whole
from pipeline.show.hypertext import escape
from pipeline.show.listing import Listing
from pipeline.show.palette import inked

_WIDTH = 640  # [px] of a plot: what fits the text of A4 and Letter alike
_TITLE_LETTERS = 84  # of a title over so wide a plot
_WHOLE_ROWS = 14  # a table of so few rows stays on one sheet
_NAME_LETTERS = 28  # a name so short that its line is not broken
_WORD_LETTERS = 18  # a word so short that it is not
# A page that may load nothing, not even if a text slipped through unescaped.
_POLICY = "default-src 'none'; style-src 'unsafe-inline'; img-src data:"
_STYLE = """
@page { margin: 16mm 15mm; }
* { box-sizing: border-box; }
body { font: 11pt/1.45 "Source Sans 3", "Segoe UI", system-ui, sans-serif; color: #2b2a28;
  background: #fff; max-width: 46rem; margin: 2rem auto; padding: 0 1rem; }
h1 { font-size: 1.7em; margin: 0 0 .2em; }
h2 { font-size: 1.25em; margin: 1.8em 0 .4em; border-bottom: 1px solid #d8d4c8; }
h3 { font-size: 1.05em; margin: 1.2em 0 .3em; }
h1, h2, h3 { line-height: 1.25; break-after: avoid; }
h1, h2, h3, p, li, .long { overflow-wrap: anywhere; }
.lead { font-size: 1.1em; }
.note { color: #5d584f; font-size: .92em; }
table { border-collapse: collapse; width: 100%; margin: .6em 0; font-size: .93em; }
th, td { text-align: right; vertical-align: top; padding: .22em .5em;
  border-bottom: 1px solid #e4e0d6; overflow-wrap: break-word; }
th { font-weight: 600; }
td.name { white-space: nowrap; }
th:first-child, td:first-child, .words { text-align: left; }
thead { display: table-header-group; }
tbody:not(.whole) tr:nth-child(-n+3) { break-after: avoid; }
tbody:not(.whole) tr:nth-last-child(-n+3) { break-before: avoid; }
p, tr, figure, .care, li, table.whole, tbody.whole { break-inside: avoid; }
tbody th { padding-top: .9em; break-after: avoid; }
figure { margin: .8em 0; }
.row { display: flex; flex-wrap: wrap; gap: .5em 1em; }
.row figure { flex: 1 1 200px; max-width: 275px; margin: .3em 0; }
svg { max-width: 100%; height: auto; }
.care { border: 1.5pt solid #c2623f; border-radius: 4px; padding: .2em .9em; margin: .8em 0; }
.care h3 { margin-top: .5em; }
ul.boxes { list-style: none; padding-left: 0; }
ul.boxes li { padding-left: 1.7em; position: relative; margin: .55em 0; }
ul.boxes li::before { content: ""; position: absolute; left: 0; top: .2em; width: .95em;
  height: .95em; border: 1.2pt solid #2b2a28; border-radius: 2px; }
.blank { border-bottom: 1px solid #83766a; display: inline-block; min-width: 7em; height: 1.1em; }
@media screen and (max-width: 46rem) { table { display: block; overflow-x: auto; } }
@media print {
  body { font-size: 9.5pt; margin: 0; max-width: none; padding: 0; }
}
"""


def document(title: str, pieces: Iterable[str]) -> str:
    """Return a whole HTML document.

    Parameters
    ----------
    title : str
        Heads the page and names the window.
    pieces : iterable of str
        HTML from the other functions here.
    """
    return (
        '<!doctype html>\n<html lang="en">\n<head>\n<meta charset="utf-8">\n'
        f'<meta http-equiv="Content-Security-Policy" content="{_POLICY}">\n'
        '<meta name="viewport" content="width=device-width, initial-scale=1">\n'
        f"<title>{escape(title)}</title>\n<style>{_STYLE}</style>\n</head>\n<body>\n"
        f"<h1>{escape(title)}</h1>\n"
        + "\n".join(piece for piece in pieces if piece)
        + "\n</body>\n</html>\n"
    )


def heading(text: str, level: int = 2) -> str:
    """Return a heading; 2 begins a part, 3 a section of it."""
    return f"<h{level}>{escape(text)}</h{level}>"


def paragraph(text: str, kind: str = "") -> str:
    """Return a paragraph; `kind` is empty, 'lead' (the answer) or 'note' (small print)."""
    mark = f' class="{kind}"' if kind else ""
    return f"<p{mark}>{escape(text)}</p>" if text else ""


def bullets(texts: Iterable[str], *, boxes: bool = False) -> str:
    """Return a list, with boxes to tick if wanted; nothing if it is empty."""
    items = "".join(f"<li>{escape(text)}</li>" for text in texts)
    mark = ' class="boxes"' if boxes else ""
    return f"<ul{mark}>{items}</ul>" if items else ""


def care(texts: Iterable[str]) -> str:
    """Return the cautions, framed; nothing if there are none."""
    listed = bullets(texts)
    return framed(f"<h3>Take care</h3>{listed}") if listed else ""


def framed(piece: str) -> str:
    """Return a piece in the frame of a caution."""
    return f'<div class="care">{piece}</div>'


def table(listing: Listing) -> str:
    """Return a listing as a table; nothing if it has no rows."""
    return parts_table([("", listing)])


def parts_table(parts: Sequence[tuple[str, Listing]]) -> str:
    """Return listings of the same columns as one table, each under its own title.

    Parameters
    ----------
    parts : sequence of (str, Listing)
        A title, or nothing, and what stands under it.
    """
    rows = [row for _, listing in parts for row in listing.rows]
    if not rows:
        return ""
    first = parts[0][1]
    shown = Listing(first.headings, rows, first.left).without_empty_columns()
    marks = [' class="words"' if name in shown.left else "" for name in shown.headings]
    is_short = all(len(row[0]) <= _NAME_LETTERS for row in shown.rows)
    marks[0] = ' class="name"' if is_short else ' class="words"'
    head, left = _cells("th", marks, shown.headings), iter(shown.rows)
    bodies = [
        _body(title, [_cells("td", marks, next(left)) for _ in listing.rows], len(marks))
        for title, listing in parts
    ]
    return f"{_opening('table', rows)}<thead>{head}</thead>{''.join(bodies)}</table>"


def _cells(tag: str, marks: Sequence[str], texts: Sequence[str]) -> str:
    cells = (
        f"<{tag}{mark}>{_broken(text) if mark or tag == 'th' else escape(_unbroken(text))}</{tag}>"
        for mark, text in zip(marks, texts, strict=True)
    )
    return f"<tr>{''.join(cells)}</tr>"


def _broken(text: str) -> str:
    """Let a text with a word that no column is wide enough for break anywhere."""
    is_long = any(len(word) > _WORD_LETTERS for word in text.split())
    return f'<span class="long">{escape(text)}</span>' if is_long else escape(text)


def _unbroken(number: str) -> str:
    """Keep a number with its unit, and an interval in one piece."""
    # Not before a bracket.
    return re.sub(r"(?<=\d) (?!\()|(?<=to) ", "\N{NO-BREAK SPACE}", number)


def _body(title: str, rows: Sequence[str], columns: int) -> str:
    head = (
        f'<tr><th colspan="{columns}" scope="rowgroup">{_broken(title)}</th></tr>' if title else ""
    )
    return f"{_opening('tbody', rows)}{head}{''.join(rows)}</tbody>"


def _opening(tag: str, rows: Sequence[object]) -> str:
    return f'<{tag} class="whole">' if len(rows) <= _WHOLE_ROWS else f"<{tag}>"


def plot(chart: alt.LayerChart, height: int | None = None) -> str:
    """Return a plot drawn as SVG inside the page, with what it shows in words.

    Parameters
    ----------
    chart : altair.LayerChart
        The plot, as the app has it.
    height : int, optional
        [px], where paper wants it lower than a screen.
    """
    import vl_convert

    spec = inked(chart, is_dark=False)
    words = spec.get("description", "")
    if height is not None:
        spec["height"] = height
    if spec.get("width") in (None, "container"):
        spec["width"] = _WIDTH
        spec["autosize"] = {"type": "fit-x", "contains": "padding"}
        for part in ("text", "subtitle"):
            # Broken for a phone until now.
            lines = " ".join(spec["title"][part])
            spec["title"][part] = textwrap.wrap(lines, _TITLE_LETTERS) or [""]
    drawing = vl_convert.vegalite_to_svg(spec)
    return f'<figure role="img" aria-label="{escape(words)}">{drawing}</figure>'


def row(charts: Iterable[alt.LayerChart]) -> str:
    """Return small plots side by side, as many to a row as fit; nothing if there are none."""
    drawn = "".join(plot(chart) for chart in charts)
    return f'<div class="row">{drawn}</div>' if drawn else ""


def write_page(html: str, path: Path) -> None:
    """Write a page to a file, whole or not at all.

    Raises
    ------
    HedgerowError
        If the file cannot be written.
    """
    try:
        with written_whole(path) as fresh:
            # A name may hold a letter that no file can: it is written as a question mark.
            fresh.write_text(html, encoding="utf-8", errors="replace")
    except OSError as fault:
        raise HedgerowError(
            f"The page cannot be written to {path}: {fault.strerror or fault}. Name another file."
        ) from fault
