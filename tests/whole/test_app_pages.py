"""Every page of the app, run as the page server runs it, on a logbook that changes on disk.

The answers are the samples of the unit tests; what is tested here is that pages ask the right
question, show the answer, and stay readable when there is none.
"""

import re
import sys
from pathlib import Path
from types import ModuleType

import pytest
import streamlit as st
from makers.maker import simulate
from makers.write import write
from streamlit.testing.v1 import AppTest
from unit.show import samples, samples_trial

from pipeline.errors import CannotSayError

pytestmark = pytest.mark.usefixtures("answers")

MAIN = Path(__file__).parents[2] / "app" / "main.py"
PAGES = {
    "volume": "Will it fill the vessel?",
    "dryness": "How dry will it finish?",
    "harsh": "Why is it harsh?",
    "recipes": "Which recipe next?",
}
HOSTILE = "**plum** $x$ :red[a] <b>"


@pytest.fixture(scope="module")
def written(tmp_path_factory):
    return write(simulate(5, 30, planned=2, draws=5), tmp_path_factory.mktemp("logs") / "club")


@pytest.fixture
def logbook(written, tmp_path):
    """A logbook of its own, since some tests write to it."""
    folder = tmp_path / "club"
    folder.mkdir()
    for path in written.iterdir():
        if path.is_file():
            (folder / path.name).write_bytes(path.read_bytes())
    return folder


@pytest.fixture
def answers(monkeypatch):
    """Put sample answers in the place of the advice, and return them for a test to change."""
    st.cache_data.clear()
    found = {
        "volume": lambda **_: samples.VOLUME,
        "yeasts": lambda **_: samples.YEASTS,
        "finish": lambda **_: samples.FINISH,
        "planner": lambda **asked: samples.planned(**asked),
        "harsh": lambda batch=None: (
            samples.HARSH if batch is None else samples.HARSH_BATCH | {"batch": batch}
        ),
        "fit": lambda: samples.FIT,
        "compare": lambda names: samples.COMPARE | {"columns": names[:2]},
        "predict": lambda **_: samples.PREDICT,
        "suggest": lambda recipe: samples.SUGGEST | {"recipe": recipe},
        "trial": lambda recipe: samples_trial.TRIAL | {"recipe": recipe},
        "fill": lambda recipe, chance, keep: (
            samples.FILL | {"recipe": recipe, "chance_asked": chance, "keep": keep}
        ),
    }
    for name in found:
        module = ModuleType(f"pipeline.advice.{name}")
        module.answer = lambda _cellar, _models, _name=name, **about: found[_name](**about)
        monkeypatch.setitem(sys.modules, module.__name__, module)
    monkeypatch.setattr("pipeline.learning.fit_models", lambda _cellar: None, raising=False)
    return found


@pytest.fixture
def open_page(monkeypatch):
    def opened(folder, page=""):
        monkeypatch.setattr(sys, "argv", ["main.py", *([str(folder)] if folder else [])])
        app = AppTest.from_file(str(MAIN), default_timeout=60).run()
        return app.switch_page(f"app_pages/{page}.py").run() if page else app

    return opened


def _plain(text):
    return re.sub(r"\\(.)", r"\1", text)


def _said(app):
    kinds = (app.title, app.header, app.subheader, app.markdown, app.info, app.error, app.caption)
    return _plain("\n".join(element.value for kind in kinds for element in kind))


@pytest.mark.parametrize("page", PAGES)
def test_every_page_asks_its_question_and_answers_on_top(page, logbook, open_page):
    app = open_page(logbook, page)
    assert not app.exception
    assert app.title[0].value == PAGES[page]
    assert len(app.header) == 1
    assert app.get("vega_lite_chart")
    assert "How sure, and why" in _said(app)
    assert "tried on batches it had not seen: off by" in _said(app)
    assert "of the next year, foreseen from the years before: off by" in _said(app)


def test_the_shelf_counts_batches_and_plots_those_on_the_move(logbook, open_page):
    app = open_page(logbook)
    assert not app.exception
    assert app.title[0].value == "What is on the shelf?"
    assert app.header[0].value.startswith("30 batches")
    assert app.get("vega_lite_chart")
    assert app.dataframe[0].value.shape[0] == 30


def test_the_shelf_can_be_narrowed(logbook, open_page):
    app = open_page(logbook)
    app.get("button_group")[0].set_value(["bottled"]).run()
    assert set(app.dataframe[0].value["state"]) == {"bottled"}


def test_another_fruit_can_be_chosen(logbook, open_page):
    app = open_page(logbook, "volume")
    assert "Each kg of rhubarb" in _said(app) or "Each lb of rhubarb" in _said(app)
    app.selectbox[0].select("banana").run()
    assert "of banana keeps back" in _said(app)


def test_what_is_planned_is_told_how_likely_it_is_to_stick(logbook, open_page):
    app = open_page(logbook, "dryness")
    assert not app.exception
    assert "Damson dry: about 1 in 15 such musts stick before they have finished." in _said(app)


def test_a_harsh_batch_is_explained_with_what_to_do(logbook, open_page):
    app = open_page(logbook, "harsh")
    batch = app.selectbox[0].options[1].split(",")[0].split(" ")[0]
    app.selectbox[0].select(batch).run()
    assert not app.exception
    assert f"{batch} has a harshness of 6.2" in _said(app)
    assert "Take the skins off." in _said(app)


def test_what_is_compared_stays_chosen_whatever_is_looked_for(logbook, open_page, monkeypatch):
    monkeypatch.setattr("app.choosing.AT_ONCE", 3)
    app = open_page(logbook, "recipes")
    before = app.multiselect[0].value
    assert len(before) == 2
    app.text_input[0].set_value("no batch is called so").run()
    assert app.multiselect[0].value == before
    assert len(app.multiselect[0].options) == 2
    assert "Choose two or more" not in app.header[0].value


def test_fewer_than_two_cannot_be_compared(logbook, open_page):
    app = open_page(logbook, "recipes")
    assert "all in all" in app.header[0].value
    app.multiselect[0].set_value([]).run()
    assert not app.exception
    assert "Choose two or more" in app.header[0].value


def test_the_page_follows_the_logbook(logbook, open_page):
    app = open_page(logbook)
    batches = logbook / "batches.csv"
    first = batches.read_text(encoding="utf-8").splitlines()
    cells = dict(zip(first[0].split(","), first[1].split(","), strict=False))
    new = {**cells, "batch_id": "added later"}
    batches.write_text("\n".join([*first, ",".join(new.values())]) + "\n", encoding="utf-8")
    app.run()
    assert app.header[0].value.startswith("31 batches")


def test_names_are_shown_as_typed(logbook, open_page):
    batches = logbook / "batches.csv"
    rows = batches.read_text(encoding="utf-8").splitlines()
    header = rows[0].split(",")
    cells = rows[-1].split(",")
    cells[header.index("name")] = HOSTILE
    batches.write_text("\n".join([*rows[:-1], ",".join(cells)]) + "\n", encoding="utf-8")
    app = open_page(logbook)
    assert not app.exception
    assert HOSTILE in app.dataframe[0].value["name"].to_list()


def test_the_recipe_page_offers_a_split_batch(logbook, open_page, answers):
    app = open_page(logbook, "recipes")
    assert not app.exception
    assert "Split a batch to find out" in [heading.value for heading in app.subheader]
    said = _said(app)
    assert "About 1 in 15 such musts stick before they have finished. It is shorter" in said
    assert "split it in two: A with skins on, B with skins off" in said
    assert "Settled: skins off makes it softer" in said
    assert "A full jar is heavy" in said
    answers["trial"] = lambda recipe: samples_trial.NOTHING | {"recipe": recipe}
    st.cache_data.clear()
    app = open_page(logbook, "recipes")
    assert not app.exception
    assert "Only 5 batches are tasted" in _said(app)


def test_the_recipe_page_fills_the_vessel_as_surely_as_asked(logbook, open_page, answers):
    asked = []
    answers["fill"] = lambda **about: asked.append(about) or samples.FILL
    st.cache_data.clear()
    app = open_page(logbook, "recipes")
    assert "make it up with water to 1 gal 1 pt, not to 1 gal" in _said(app)
    app.number_input[0].set_value(95).run()
    assert not app.exception
    assert [about["chance"] for about in asked] == [0.80, 0.95]
    answers["fill"] = lambda **_: samples.UNFILLED
    st.cache_data.clear()
    app.run()
    assert not app.exception
    assert "Cannot say how to fill the vessel" in _said(app)


def test_an_empty_logbook_says_what_to_do(tmp_path, open_page, answers):
    (tmp_path / "batches.csv").write_text("batch_id,started_on\n", encoding="utf-8")
    (tmp_path / "additions.csv").write_text(
        "batch_id,added_on,kind,ingredient,amount\n", encoding="utf-8"
    )
    answers["volume"] = lambda: {"fruits": []}
    answers["yeasts"] = lambda: {"yeasts": [], "pairs": []}
    app = open_page(tmp_path)
    assert app.title[0].value == "What is there to write down?"
    for page, text in {
        "shelf": "Log a first batch",
        "volume": "Log what each batch aims at",
        "dryness": "Name the yeast of each batch",
        "harsh": "Log a tasting",
        "recipes": "Write a recipe in recipes.csv",
    }.items():
        app = open_page(tmp_path, page)
        assert not app.exception
        assert text in _said(app)


def test_what_cannot_be_said_is_said_so(logbook, open_page, answers):
    def refuse():
        raise CannotSayError("one batch is too few. Log two more.")

    answers["volume"] = refuse
    app = open_page(logbook, "volume")
    assert not app.exception
    assert _plain(app.info[0].value) == "Cannot say yet: one batch is too few. Log two more."


def test_a_missing_folder_is_one_sentence(tmp_path, open_page):
    app = open_page(tmp_path / "nowhere")
    assert not app.exception
    assert "nowhere" in _plain(app.error[0].value)


def test_a_page_without_a_logbook_says_how_to_start_it(open_page):
    app = open_page(None)
    assert not app.exception
    assert "hedgerow app LOGBOOK" in _plain(app.error[0].value)


def test_a_cellar_thrown_away_is_built_again(logbook, open_page):
    app = open_page(logbook)
    (logbook / ".hedgerow" / "cellar.duckdb").unlink()
    app.run()
    assert not app.exception
    assert app.header[0].value.startswith("30 batches")


def test_the_planner_answers_in_the_makers_units_wherever_its_sliders_stand(logbook, open_page):
    page = open_page(logbook, "volume")
    wanted, fruit, water = page.slider
    assert wanted.label.startswith("Wine wanted")
    fruit.set_value(fruit.max).run()
    water.set_value(water.min).run()
    assert not page.exception
    assert any("of finished wine" in text.value for text in page.markdown)
