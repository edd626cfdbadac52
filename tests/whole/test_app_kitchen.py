"""The sheet on the recipes page: chosen, sized, dated, and taken along as two files."""

import sys

import pytest
import streamlit as st
from makers.maker import simulate
from makers.write import write
from streamlit.testing.v1 import AppTest


@pytest.fixture(scope="module")
def logbook(tmp_path_factory):
    return write(simulate(5, 30, planned=2, draws=5), tmp_path_factory.mktemp("logs") / "club")


def _page():
    from app import cache, kitchen
    from pipeline.show.words_compare import planned_names

    kitchen.written_out(planned_names(cache.cellar().table("musts")))


@pytest.fixture
def app(logbook, monkeypatch):
    monkeypatch.setattr(sys, "argv", ["main.py", str(logbook)])
    st.cache_resource.clear()
    opened = AppTest.from_function(_page, default_timeout=60).run()
    assert not opened.exception
    return opened


def _said(app):
    return " ".join(element.value for kind in (app.markdown, app.info) for element in kind)


def test_both_files_are_offered(app):
    buttons = app.get("download_button")
    assert [button.label for button in buttons] == ["Page to print", "Calendar file"]
    assert "of wine, started on" in _said(app).replace("\\", "")
    assert app.get("expander")[0].label == "What to beware of"


def test_another_volume_is_written_out(app):
    app.text_input[0].set_value("12 L").run()
    assert not app.exception
    said = _said(app).replace("\\", "")
    assert "12.00 L of wine" in said or "2 imp gal" in said or "3 US gal" in said


def test_a_volume_that_cannot_be_read_is_said_with_what_to_type(app):
    app.text_input[0].set_value("a bucketful").run()
    assert not app.exception
    assert "Volume 'a bucketful'" in app.info[0].value.replace("\\", "")
    assert app.get("download_button") == []
