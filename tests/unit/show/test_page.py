"""The printed page: complete, quiet, and deaf to what people type."""

from html.parser import HTMLParser

import altair as alt
import polars as pl
import pytest

from pipeline.errors import HedgerowError
from pipeline.show import page
from pipeline.show.listing import Listing
from pipeline.show.palette import titled

HOSTILE = "<script>alert(1)</script> \"quoted\" & 'single' <img src=x onerror=y>"
_EMPTY = {"meta", "img", "br"}


class _Reader(HTMLParser):
    """Collects the tags, and fails on one that is closed out of turn."""

    def __init__(self):
        super().__init__()
        self.open, self.seen, self.text = [], [], []

    def handle_starttag(self, tag, _):
        self.seen.append(tag)
        if tag not in _EMPTY:
            self.open.append(tag)

    def handle_endtag(self, tag):
        assert self.open.pop() == tag

    def handle_data(self, data):
        self.text.append(data)


def _read(html):
    reader = _Reader()
    reader.feed(html)
    reader.close()
    return reader


def _chart():
    frame = pl.DataFrame({"x": [1, 2], "y": [3, 4], "name": [HOSTILE, "b"]})
    points = alt.Chart(frame).mark_point().encode(x="x:Q", y="y:Q", color="name:N")
    return titled(alt.LayerChart(layer=[points]), HOSTILE, "how to read it")


def test_whatever_is_typed_stays_text():
    listing = Listing((HOSTILE, "b"), [(HOSTILE, HOSTILE)], left=("b",))
    pieces = [
        page.heading(HOSTILE),
        page.paragraph(HOSTILE, "lead"),
        page.bullets([HOSTILE]),
        page.bullets([HOSTILE], boxes=True),
        page.care([HOSTILE]),
        page.table(listing),
        page.plot(_chart()),
    ]
    html = page.document(HOSTILE, pieces)
    reader = _read(html)
    assert reader.open == []
    assert not {"script", "img"} & set(reader.seen)
    # Heading twice (title and h1), five pieces, four cells of the table less one plain heading.
    assert "".join(reader.text).count("alert(1)") >= 9


def test_nothing_is_asked_of_the_network():
    html = page.document("t", [page.plot(_chart())])
    assert "default-src 'none'" in html
    reader = _read(html)
    assert not {"link", "iframe", "object", "script"} & set(reader.seen)
    assert "url(" not in html
    assert "@import" not in html
    assert 'aria-label="' in html


def test_what_is_empty_leaves_no_trace():
    empty = [page.bullets([]), page.care([]), page.table(Listing(("a",))), page.paragraph("")]
    assert empty == [""] * 4


def test_words_stand_left_and_numbers_right():
    listing = Listing(("fruit", "when", "kg"), [("damson", "today", "2")], left=("when",))
    html = page.table(listing)
    assert '<th class="words">when</th>' in html
    assert "<th>kg</th>" in html


def test_a_page_is_written_whole_or_not_at_all(tmp_path):
    path = tmp_path / "page.html"
    page.write_page("<p>é</p>", path)
    assert path.read_text(encoding="utf-8") == "<p>é</p>"
    with pytest.raises(HedgerowError, match=r"cannot be written to .*Name another file"):
        page.write_page("x", tmp_path / "nowhere" / "page.html")
    assert [found.name for found in tmp_path.iterdir()] == ["page.html"]
