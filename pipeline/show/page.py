"""One self-contained page to print or send: no network, no script, every text escaped.

The report and a recipe's sheet are made of the pieces here. Each piece returns HTML; what it is
given is text as people typed it, and is escaped here and nowhere else.
"""

from collections.abc import Iterable
from html import escape
from pathlib import Path

import altair as alt

from pipeline.errors import HedgerowError
from pipeline.show.listing import Listing
from pipeline.show.palette import inked

_WIDTH = 640  # [px] of a plot: what fits the text of A4 and Letter alike
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
p, li { orphans: 3; widows: 3; }
.lead { font-size: 1.1em; }
.note { color: #5d584f; font-size: .92em; }
table { border-collapse: collapse; width: 100%; margin: .6em 0; font-size: .93em; }
th, td { text-align: right; vertical-align: top; padding: .22em .5em;
  border-bottom: 1px solid #e4e0d6; overflow-wrap: break-word; }
th { font-weight: 600; }
td:first-child { white-space: nowrap; }
th:first-child, td:first-child, th.words, td.words { text-align: left; }
thead { display: table-header-group; }
tr, figure, .care, li { break-inside: avoid; }
figure { margin: .8em 0; }
.row { display: flex; flex-wrap: wrap; gap: .5em 1.2em; }
svg { max-width: 100%; height: auto; }
.care { border: 1.5pt solid #c2623f; border-radius: 4px; padding: .2em .9em; margin: .8em 0; }
.care h3 { margin-top: .5em; }
ul.boxes { list-style: none; padding-left: 0; }
ul.boxes li { padding-left: 1.7em; position: relative; margin: .55em 0; }
ul.boxes li::before { content: ""; position: absolute; left: 0; top: .2em; width: .95em;
  height: .95em; border: 1.2pt solid #2b2a28; border-radius: 2px; }
.blank { border-bottom: 1px solid #83766a; display: inline-block; min-width: 7em; height: 1.1em; }
@media print { body { font-size: 9.5pt; margin: 0; max-width: none; padding: 0; } }
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
    return f'<div class="care"><h3>Take care</h3>{listed}</div>' if listed else ""


def table(listing: Listing) -> str:
    """Return a listing as a table; nothing if it has no rows."""
    if not listing.rows:
        return ""
    shown = listing.without_empty_columns()
    marks = [' class="words"' if name in shown.left else "" for name in shown.headings]
    head = "".join(
        f"<th{mark}>{escape(name)}</th>" for mark, name in zip(marks, shown.headings, strict=True)
    )
    rows = "".join(
        "<tr>"
        + "".join(f"<td{mark}>{escape(cell)}</td>" for mark, cell in zip(marks, row, strict=True))
        + "</tr>"
        for row in shown.rows
    )
    return f"<table><thead><tr>{head}</tr></thead><tbody>{rows}</tbody></table>"


def plot(chart: alt.LayerChart) -> str:
    """Return a plot drawn as SVG inside the page, with what it shows in words."""
    import vl_convert

    spec = inked(chart, is_dark=False)
    words = spec.get("description", "")
    if spec.get("width") in (None, "container"):
        spec["width"] = _WIDTH
        spec["autosize"] = {"type": "fit-x", "contains": "padding"}
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
    fresh = path.with_name(f".{path.name}.new")
    try:
        fresh.write_text(html, encoding="utf-8")
        fresh.replace(path)
    except OSError as fault:
        raise HedgerowError(
            f"The page cannot be written to {path}: {fault.strerror or fault}. Name another file."
        ) from fault
