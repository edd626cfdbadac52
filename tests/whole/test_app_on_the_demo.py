"""The whole way on the demo logbook: from its files to every page, with nothing stood in."""

import sys
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


@pytest.mark.parametrize("page", ["shelf", "volume", "dryness", "harsh", "recipes"])
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
