"""The page's frame: navigation, the logbook's name, and the one place where refusals are shown."""

from pathlib import Path

import streamlit as st

from app import cache, frame
from pipeline.errors import CannotSayError, HedgerowError
from pipeline.show.markdown import escape

SECONDS_BETWEEN_LOOKS = 5

PAGES = (
    ("shelf", "What is on the shelf?"),
    ("volume", "Will it fill the vessel?"),
    ("dryness", "How dry will it finish?"),
    ("harsh", "Why is it harsh?"),
    ("recipes", "Which recipe next?"),
)


@st.fragment(run_every=SECONDS_BETWEEN_LOOKS)
def follow(seen: str) -> None:
    """Show the page again when the logbook has changed on disk."""
    if cache.mark() != seen:
        st.rerun()


def main() -> None:
    """Show the chosen page, or why it cannot be shown."""
    icon = str(Path(__file__).parent / "mark.svg")
    st.set_page_config(page_title="hedgerow", page_icon=icon, layout="wide")
    page = st.navigation(
        [
            st.Page(f"app_pages/{name}.py", title=title, url_path=name, default=name == "shelf")
            for name, title in PAGES
        ]
    )
    with st.container(width=frame.WIDTH):
        try:
            st.sidebar.caption(f"Logbook: {escape(cache.folder().name)}")
            follow(cache.mark())
            page.run()
        except CannotSayError as refusal:
            st.info(escape(f"Cannot say yet: {refusal}"))
        except HedgerowError as refusal:
            st.error(escape(str(refusal)))


main()
