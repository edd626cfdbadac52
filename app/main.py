"""The page's frame: navigation, the logbook's name, and the one place where refusals are shown."""

from pathlib import Path

import streamlit as st

from app import cache, frame
from app.questions import PAGES
from pipeline.errors import CannotSayError, ChangedMeanwhileError, HedgerowError
from pipeline.show.markdown import escape

SECONDS_BETWEEN_LOOKS = 5
_ADD = "add"
_OPENED = "is_opened"


@st.fragment(run_every=SECONDS_BETWEEN_LOOKS)
def follow(seen: str) -> None:
    """Show the page again when the logbook has changed on disk."""
    if cache.mark() != seen:
        st.rerun()


def _pages() -> list[st.Page]:
    """Return the pages: the first stands at the root, and its own address leads there."""
    (first, title), *others = PAGES.items()
    root = st.Page(f"app_pages/{first}.py", title=title, url_path="", default=True)
    own = st.Page(lambda: st.switch_page(root), title=title, url_path=first, visibility="hidden")
    rest = [st.Page(f"app_pages/{name}.py", title=title, url_path=name) for name, title in others]
    return [root, *rest, own]


def lead_to_the_beginning(chosen: str) -> None:
    """Lead to where a logbook is started or, on opening an empty one, to its first entry."""
    is_opened = st.session_state.get(_OPENED, False)
    st.session_state[_OPENED] = True
    if chosen == _ADD:
        return
    if not cache.is_begun() or (not is_opened and cache.cellar().table("batches").is_empty()):
        st.switch_page(f"app_pages/{_ADD}.py")


def main() -> None:
    """Show the chosen page, or why it cannot be shown."""
    icon = str(Path(__file__).parent / "mark.svg")
    st.set_page_config(page_title="hedgerow", page_icon=icon, layout="wide")
    page = st.navigation(_pages())
    with st.container(width=frame.WIDTH):
        try:
            st.sidebar.caption(f"Logbook: {escape(cache.folder().name)}")
            follow(cache.look())
            lead_to_the_beginning(page.url_path)
            page.run()
        except CannotSayError as refusal:
            st.info(escape(f"Cannot say yet: {refusal}"))
        except ChangedMeanwhileError:
            st.rerun()
        except HedgerowError as refusal:
            st.error(escape(str(refusal)))


main()
