"""A small logbook with a name meant to break the page, and a page opened on it."""

import re
import sys
from pathlib import Path

import streamlit as st
from streamlit.testing.v1 import AppTest
from unit.advice.logbook import FILES

MAIN = Path(__file__).parents[2] / "app" / "main.py"
HOSTILE = "<script>alert(1)</script> **bold** $x$ :red[a] [b](http://c)"
HOSTILE_ID = "x<i>&?#/ %"
SECONDS = 120


def write_kitchen(folder: Path, **files: str) -> Path:
    """Write the logbook, with some files in place of its own."""
    folder.mkdir(exist_ok=True)
    hostile = f'"{HOSTILE_ID}","{HOSTILE}"'
    own = {
        **FILES,
        "batches.csv": FILES["batches.csv"]
        .replace("batch_id,", "batch_id,name,")
        .replace("\nsweet,", "\nsweet,Damson for Ann,")
        .replace(",2026-", ",,2026-")
        .replace("Ann,,2026", "Ann,2026")
        + f"{hostile},2026-02-02,4 L,ageing\n",
        "additions.csv": FILES["additions.csv"]
        + f'"{HOSTILE_ID}",2026-02-02,fruit,"{HOSTILE}",2 kg\n',
        "readings.csv": FILES["readings.csv"]
        + f'"{HOSTILE_ID}",2026-02-03,1090,,,\n"{HOSTILE_ID}",2026-03-03,1.050,,,\n',
    }
    for name, text in (own | {f"{name}.csv": text for name, text in files.items()}).items():
        (folder / name).write_text(text, encoding="utf-8")
    return folder


def open_page(monkeypatch, folder: Path, page: str, **query: str) -> AppTest:
    """Open one page of the app as a person does who follows a link to it."""
    st.cache_data.clear()
    monkeypatch.setattr(sys, "argv", ["main.py", str(folder)])
    app = AppTest.from_file(str(MAIN), default_timeout=SECONDS).run()
    app = app.switch_page(f"app_pages/{page}.py")
    for name, value in query.items():
        app.query_params[name] = value
    return app.run()


def plain(text: str) -> str:
    """Return a text of the page as people read it."""
    return re.sub(r"\\(.)", r"\1", text)


def said(app: AppTest) -> str:
    """Return all that a page says outside of tables and plots."""
    kinds = (
        *(app.title, app.header, app.subheader, app.markdown, app.info, app.error, app.caption),
        *(app.success, app.warning),
    )
    return plain("\n".join(element.value for kind in kinds for element in kind))


def unescaped(app: AppTest) -> list[str]:
    """Return texts of the page in which a hostile name would be read as markup."""
    kinds = (
        *(app.title, app.header, app.subheader, app.markdown, app.info, app.error, app.caption),
        *(app.success, app.warning),
    )
    texts = [element.value for kind in kinds for element in kind]
    texts += [link.proto.label for link in app.get("page_link")]
    texts += [str(cell) for table in app.table for row in table.value.values for cell in row]
    signs = ("<script>", "**bold**", "$x$", ":red[", "[b](", "<i>")
    bodies = [html.proto.body for html in app.get("html")]  # in which only tags are markup
    return [
        *(text for text in texts if any(sign in text for sign in signs)),
        *(text for text in bodies if any(sign in text for sign in ("<script>", "<i>"))),
    ]
