"""The whole way on the demo logbook: from its files to every page, with nothing stood in."""

import re
import sys
from datetime import date
from pathlib import Path

import pytest
import streamlit as st
from streamlit.testing.v1 import AppTest

from pipeline.files import project_file

MAIN = Path(__file__).parents[2] / "app" / "main.py"
SECONDS = 120  # the first page asked learns from all batches


@pytest.fixture(scope="module")
def demo(tmp_path_factory):
    folder = tmp_path_factory.mktemp("demo") / "club"
    folder.mkdir()
    source = project_file("data", "demo")
    for path in (*source.glob("*.csv"), source / "logbook.toml"):
        (folder / path.name).write_bytes(path.read_bytes())
    return folder


@pytest.fixture
def open_page(demo, monkeypatch):
    # What another test stood in for an answer must not be found again here.
    st.cache_data.clear()
    monkeypatch.setattr(sys, "argv", ["main.py", str(demo)])
    app = AppTest.from_file(str(MAIN), default_timeout=SECONDS).run()
    return lambda page: app.switch_page(f"app_pages/{page}.py").run()


@pytest.mark.parametrize(
    "page", ["shelf", "volume", "dryness", "harsh", "recipes", "bench", "batch", "problems"]
)
def test_every_page_answers(page, open_page):
    app = open_page(page)
    assert not app.exception
    assert not app.error
    assert not app.info
    assert len(app.header[0].value) > 20
    assert app.get("vega_lite_chart")


def test_every_fruit_has_its_plot(open_page):
    app = open_page("volume")
    for fruit in app.selectbox[0].options:
        app.selectbox[0].select(fruit).run()
        assert not app.exception, fruit
        assert app.get("vega_lite_chart")


def test_the_harshest_batch_has_its_reasons(open_page):
    app = open_page("harsh")
    harshest = app.selectbox[0].options[1].split(" ")[0].rstrip(",")
    app.selectbox[0].select(harshest).run()
    assert not app.exception
    assert "Next time" in [part.value for part in app.subheader]
    assert "How it is balanced" in [shown.value for shown in app.subheader]
    specs = [plot.proto.spec for plot in app.get("vega_lite_chart")]
    assert sum("other batches beside it" in spec for spec in specs) >= 2


def _chosen(app):
    """Return the table of the recipe as chosen, by outcome: as planned, as chosen."""
    table = next(table.value for table in app.table if "as chosen" in map(str.strip, table.value))
    return {row[0]: row[1:] for row in table.values.tolist()}


def test_a_recipe_is_adjusted_change_by_change(open_page):
    app = open_page("recipes")
    recipe = next(box for box in app.selectbox if box.label == "Recipe")
    recipe.select("Next damson to the mark").run()
    assert len(app.checkbox) >= 2
    suggested = {row[0]: row[2] for row in _before_and_after(app)}
    for box in app.checkbox:
        assert not box.value
        box.check().run()
        assert not app.exception
        assert "as chosen" in [heading.strip() for table in app.table for heading in table.value]
    # All of them taken is what was suggested.
    assert {name: cells[1] for name, cells in _chosen(app).items()} == suggested
    sugar = next(field for field in app.text_input if field.label == "Sugar")
    sugar.set_value("3 lb").run()
    stronger = _chosen(app)["strength"][1]
    assert _strength(stronger) > _strength(suggested["strength"])
    sugar.set_value("a bag").run()
    assert "cannot be read" in app.warning[0].value
    assert not app.exception


def _before_and_after(app):
    tables = (table.value for table in app.table)
    return next(table for table in tables if "changed" in map(str.strip, table)).values.tolist()


def _strength(cell):
    return float(cell.replace("\\", "").split(" ")[0])


def _labelled(elements, label):
    return next(one for one in elements if re.sub(r"\\(.)", r"\1", one.label).startswith(label))


def _plots(app):
    return [plot.proto.spec for plot in app.get("vega_lite_chart")]


@pytest.mark.parametrize(
    ("page", "choose"),
    [
        ("volume", lambda app: app.selectbox[0].select("plum")),
        ("volume", lambda app: _labelled(app.slider, "Wine wanted").set_value(2.0)),
        ("harsh", lambda app: app.selectbox[0].select_index(2)),
        ("batch", lambda app: app.selectbox[0].select_index(30)),
        ("bench", lambda app: app.selectbox[0].select_index(3)),
        ("recipes", lambda app: app.multiselect[0].set_value(app.multiselect[0].options[-3:])),
    ],
    ids=["fruit", "vessel", "reasons", "story", "bench", "compared"],
)
def test_what_is_chosen_is_what_is_plotted(page, choose, open_page):
    app = open_page(page)
    before = _plots(app)
    choose(app).run()
    chosen = _plots(app)
    assert not app.exception
    assert chosen != before
    # Plots are kept; drawn afresh they are the same.
    st.cache_data.clear()
    assert _plots(app.run()) == chosen


def test_a_vessel_is_filled_by_what_the_maker_would_rather_keep(open_page):
    app = open_page("recipes")
    keep = _labelled(app.selectbox, "Keep")
    said = set()
    for at in range(len(keep.options)):
        _labelled(app.selectbox, "Keep").select_index(at).run()
        assert not app.exception
        said.add("\n".join(text.value for text in app.markdown))
    assert len(said) == len(keep.options)


def test_another_recipe_is_written_out_for_another_day(open_page):
    app = open_page("recipes")
    recipe = _labelled(app.selectbox, "Recipe to write out")
    recipe.select(recipe.options[-1]).run()
    app.date_input[0].set_value(date(2027, 3, 5)).run()
    assert not app.exception
    said = re.sub(r"\\(.)", r"\1", "\n".join(text.value for text in app.markdown))
    assert f"{recipe.options[-1]}: " in said
    assert "started on 2027-03-05" in said
