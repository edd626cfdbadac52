"""What the tests of the page share: opening it on a folder, and reading what it says."""

import re
import sys
from collections.abc import Callable
from pathlib import Path

import pytest
import streamlit as st
from streamlit.testing.v1 import AppTest

MAIN = Path(__file__).parents[2] / "app" / "main.py"
SECONDS = 120
Opened = Callable[..., AppTest]


def opener(monkeypatch: pytest.MonkeyPatch) -> Opened:
    """Return what opens the page on a folder, as another person each time."""

    def opened(folder: Path, page: str = "") -> AppTest:
        st.cache_data.clear()
        st.cache_resource.clear()
        monkeypatch.setattr(sys, "argv", ["main.py", str(folder)])
        app = AppTest.from_file(str(MAIN), default_timeout=SECONDS).run()
        return app.switch_page(f"app_pages/{page}.py").run() if page else app

    return opened


def plain(text: str) -> str:
    """Return a text without the marks that keep it from being read as markup."""
    return re.sub(r"\\(.)", r"\1", text)


def said(app: AppTest) -> str:
    """Return everything the page says in words."""
    kinds = (
        *(app.title, app.header, app.subheader, app.markdown, app.caption),
        *(app.info, app.success, app.warning, app.error),
    )
    return plain("\n".join(element.value for kind in kinds for element in kind))


def field(app: AppTest, label: str, at: int = 0):
    """Return a field by its label; of several that are called so, the n-th."""
    kinds = (app.text_input, app.selectbox, app.multiselect, app.radio)
    found = [one for kind in kinds for one in kind if plain(one.label) == label]
    assert found, (label, [plain(one.label) for kind in kinds for one in kind])
    return found[at]


def button(app: AppTest, label: str, key: str = ""):
    """Return a button by its label and, where several have it, by a part of its key."""
    found = [one for one in app.button if one.label == label and key in (one.key or "")]
    assert found, (label, [(one.label, one.key) for one in app.button])
    return found[0]
