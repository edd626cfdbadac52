"""The recipe sheet as a page: all of the plan, each caution at its step, room to write."""

import re
from datetime import date
from html.parser import HTMLParser

import pytest
from unit.advice.logbook import FILES

from pipeline.advice import sheet
from pipeline.cellar import load_cellar
from pipeline.show.sheet_page import sheet_html
from pipeline.show.units import Units
from pipeline.show.words_sheet import amount_text, calendar_file, fruit_lines

START = date(2026, 9, 12)
HOSTILE = "<b>plum</b> & <script>x</script>"
_EMPTY = {"meta", "br"}


class _Items(HTMLParser):
    """Collects the text of each list item, and fails on a tag closed out of turn."""

    def __init__(self):
        super().__init__()
        self.open, self.seen, self.items = [], [], []

    def handle_starttag(self, tag, _):
        self.seen.append(tag)
        if tag not in _EMPTY:
            self.open.append(tag)
        if tag == "li":
            self.items.append("")

    def handle_endtag(self, tag):
        assert self.open.pop() == tag

    def handle_data(self, data):
        if "li" in self.open:
            self.items[-1] += data


def _read(html):
    reader = _Items()
    reader.feed(html)
    reader.close()
    assert reader.open == []
    return reader


@pytest.fixture(scope="module")
def cellar(tmp_path_factory):
    folder = tmp_path_factory.mktemp("logbook")
    for name, text in FILES.items():
        (folder / name).write_text(text.replace("Loose", HOSTILE), encoding="utf-8")
    return load_cellar(folder, today=date(2026, 11, 1))


def _page(cellar, recipe, litres=None, units=None):
    data = sheet.answer(cellar, recipe, litres, START)
    return data, _read(sheet_html(data, units or Units()))


def test_the_plan_covers_the_way_from_the_bucket_to_the_last_tasting(cellar):
    data, read = _page(cellar, "Plum")
    steps = [item for item in read.items if re.search(r"20\d\d:", item)]
    assert len(steps) == len(data["steps"])
    told = " ".join(steps)
    for words in (
        *("Put the must together", "Enzyme in", "then yeast in", "Feed it", "Stir every day"),
        *("Fruit out", "Rack off", "Into the cold", "Check that it has stopped", "Stabilise"),
        *("Sweeten", "Bottle", "at 3 months", "at 6 months", "at 12 months"),
    ):
        assert words in told
    assert "Below 45 °C" in next(item for item in steps if "Enzyme in" in item)


def test_what_is_done_daily_has_a_box_a_day(cellar):
    _, read = _page(cellar, "Plum")
    stir = next(item for item in read.items if "Stir every day" in item)
    assert [day for day in range(13, 19) if f"{day} Sep" in stir] == list(range(13, 19))


def test_there_is_room_for_every_reading(cellar):
    _, read = _page(cellar, "Plum", units=Units("us"))
    by_step = {
        "then yeast in": ("gravity", "warmth, °F", "pH"),
        "Fruit out": ("volume, US gal",),
        "Bottle": ("bottles",),
        "at 3 months": ("score",),
    }
    for words, labels in by_step.items():
        item = next(item for item in read.items if words in item)
        for label in labels:
            assert label in item


@pytest.mark.parametrize("recipe", ["Plum", "Bare", "Wild"])
def test_each_caution_stands_once_and_at_its_step(cellar, recipe):
    data, read = _page(cellar, recipe)
    for caution in data["cautions"]:
        assert sum(caution["text"] in item for item in read.items) == 1, caution["code"]
    at = {code: step["code"] for step in data["steps"] for code in step["cautions"]}
    assert at["bottle_pressure"] == "bottle"
    assert at["carbon_dioxide"] == "yeast"
    assert at["caustic"] == "check"
    if recipe == "Wild":
        assert at["rhubarb_leaves"] == "start"
        assert at["fining_allergens"] == "add"
        assert at["sorbate"] == "stabilise"


def test_a_recipe_that_forgot_its_yeast_still_has_the_step(cellar):
    data, _ = _page(cellar, "Bare")
    yeast = next(step for step in data["steps"] if step["code"] == "yeast")
    assert (yeast["day"], yeast["lines"]) == (1, [])


def test_nothing_typed_becomes_markup_and_nothing_is_asked_of_the_network(cellar):
    _, read = _page(cellar, HOSTILE)
    assert not {"script", "img", "link", "iframe"} & set(read.seen)
    html = sheet_html(sheet.answer(cellar, HOSTILE, None, START), Units())
    assert "&lt;b&gt;plum&lt;/b&gt; &amp; &lt;script&gt;" in html
    assert "default-src 'none'" in html
    assert "http" not in html.replace("http-equiv", "")


@pytest.mark.parametrize(
    ("count", "text"),
    [(2.2, "2¼ tablets"), (1.0, "1 tablet"), (0.5, "½ tablet"), (0.12, ""), (3.1, "3 tablets")],
)
def test_tablets_are_written_in_quarters_or_not_at_all(count, text):
    line = dict.fromkeys(
        ("is_to_mark", "powder", "amount_l", "amount_kg", "written", "kind"), None
    ) | {"pieces": count, "piece": "tablet"}
    shown = amount_text(line, Units())
    assert shown == (text or "–")


def test_the_calendar_says_what_to_beware_of(cellar):
    data = sheet.answer(cellar, "Plum", None, START)
    text = calendar_file(data, Units()).decode()
    assert "Take care. Sugar left" in text.replace("\r\n ", "")


def test_a_note_on_a_fruit_leaves_its_source_where_it_stands():
    note = {"fruit": "plum", "text": "Keep stones whole (EFSA 2016 Journal 14(4):4424). Really."}
    assert fruit_lines({"fruit_notes": [note]}) == ["Plum: Keep stones whole. Really."]
