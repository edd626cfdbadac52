"""The printed page: complete, quiet, and deaf to what people type."""

import re
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


def _points():
    frame = pl.DataFrame({"x": [1, 2], "y": [3, 4], "name": [HOSTILE, "b"]})
    return alt.Chart(frame).mark_point().encode(x="x:Q", y="y:Q", color="name:N")


def _chart():
    return titled(alt.LayerChart(layer=[_points()]), HOSTILE, "how to read it")


def test_whatever_is_typed_stays_text():
    listing = Listing((HOSTILE, "b"), [(HOSTILE, HOSTILE)], left=("b",))
    pieces = [
        page.heading(HOSTILE),
        page.paragraph(HOSTILE, "lead"),
        page.bullets([HOSTILE]),
        page.bullets([HOSTILE], boxes=True),
        page.care([HOSTILE]),
        page.table(listing),
        page.parts_table([(HOSTILE, listing)]),
        page.plot(_chart()),
    ]
    html = page.document(HOSTILE, pieces)
    reader = _read(html)
    assert reader.open == []
    assert not {"script", "img"} & set(reader.seen)
    # Title and h1, five pieces, and the cells of two tables.
    assert "".join(reader.text).count("alert(1)") >= 14


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
    assert '<td class="name">damson</td>' in html
    long_name = Listing(("fruit", "kg"), [("damson " * 5, "2")])
    assert 'class="name"' not in page.table(long_name)


def test_parts_share_one_heading_and_the_widths_of_the_columns():
    parts = [
        ("pear", Listing(("batch", "note", "end"), [("a", "", "0.99 (0.98 to 1.00)")])),
        ("plum", Listing(("batch", "note", "end"), [("b", "", "1.0"), ("c", "", "1.1")])),
    ]
    html = page.parts_table(parts)
    assert html.count("<thead>") == 1
    assert html.count('<th colspan="2" scope="rowgroup">') == 2
    assert ">note<" not in html
    assert html.index(">pear<") < html.index(">a<") < html.index(">plum<") < html.index(">c<")
    # A number breaks before its interval and nowhere else.
    assert "0.99 (0.98\N{NO-BREAK SPACE}to\N{NO-BREAK SPACE}1.00)" in html
    assert page.parts_table([("pear", Listing(("batch",)))]) == ""


def test_a_plot_is_lower_and_its_title_wider_on_paper():
    chart = titled(alt.LayerChart(layer=[_points()]).properties(height=300), "word " * 14)
    low, high = (page.plot(chart, height) for height in (100, None))
    sizes = [float(re.search(r'height="([\d.]+)"', html)[1]) for html in (low, high)]
    assert sizes[1] - sizes[0] == pytest.approx(200, abs=20)
    assert "word " * 13 + "word<" in low


def test_a_page_is_written_whole_or_not_at_all(tmp_path):
    path = tmp_path / "page.html"
    page.write_page("<p>é</p>", path)
    assert path.read_text(encoding="utf-8") == "<p>é</p>"
    with pytest.raises(HedgerowError, match=r"cannot be written to .*Name another file"):
        page.write_page("x", tmp_path / "nowhere" / "page.html")
    assert [found.name for found in tmp_path.iterdir()] == ["page.html"]
