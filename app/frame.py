"""What every page has in common: question, answer, plot, table, how sure and why."""

from collections.abc import Sequence

import altair as alt
import polars as pl
import streamlit as st

from pipeline.show.listing import Listing
from pipeline.show.markdown import escape
from pipeline.show.palette import inked
from pipeline.show.words_planner import Slider

WIDTH = 980  # [px] of text and plots: a longer line is hard to read


def question(text: str, answer: str) -> None:
    """Head the page with its question and the answer in a sentence."""
    st.title(text, anchor=False)
    st.header(escape(answer), anchor=False)


def section(text: str) -> None:
    """Begin a part of the page."""
    st.subheader(escape(text), anchor=False)


def say(text: str) -> None:
    """Show a sentence."""
    st.markdown(escape(text))


def next_step(sentence: str, command: str = "") -> None:
    """Say what to do where there is nothing to show yet, with what to type."""
    st.info(escape(sentence))
    if command:
        st.code(command, language=None)


def plot(chart: alt.LayerChart) -> None:
    """Show a plot over the whole width."""
    st.vega_lite_chart(spec=_spec(chart), width="stretch")


def small_plots(charts: Sequence[alt.LayerChart]) -> None:
    """Show small plots side by side, as many to a row as fit."""
    with st.container(horizontal=True, gap="medium"):
        for chart in charts:
            st.vega_lite_chart(spec=_spec(chart), width="content")


def _spec(chart: alt.LayerChart) -> dict:
    return inked(chart, is_dark=st.context.theme.type == "dark")


def batches(shown: pl.DataFrame, decimals: dict[str, int]) -> None:
    """Show the long table of batches: it scrolls, sorts and searches."""
    numbers = {
        name: st.column_config.NumberColumn(format=f"%.{places}f")
        for name, places in decimals.items()
    }
    started = st.column_config.DateColumn(format="D MMM YYYY")
    first = st.column_config.TextColumn(pinned=True)
    st.dataframe(
        shown,
        hide_index=True,
        placeholder="–",
        column_config={**numbers, "started": started, "batch": first},
    )


def wide_listing(shown: Listing) -> None:
    """Show a table of many columns: it scrolls sideways on a phone, its first column stays."""
    if not shown.rows:
        return
    full = shown.without_empty_columns()
    first = st.column_config.TextColumn(pinned=True)
    st.dataframe(
        _frame(_distinct(list(full.headings)), full.rows),
        hide_index=True,
        height="content",
        column_config={full.headings[0]: first},
    )


def listing(shown: Listing) -> None:
    """Show a short table of finished text; nothing if it has no rows."""
    if not shown.rows:
        return
    full = shown.without_empty_columns()
    headings = _distinct([escape(heading) for heading in full.headings])
    rows = [[escape(cell) for cell in row] for row in full.rows]
    st.table(_frame(headings, rows), border="horizontal", hide_index=True)


def _frame(headings: list[str], rows: Sequence[Sequence[str]]) -> pl.DataFrame:
    return pl.DataFrame(rows, schema=dict.fromkeys(headings, pl.String), orient="row")


def _distinct(headings: list[str]) -> list[str]:
    """Return the headings told apart by blanks, since a table cannot have one twice."""
    return [heading + " " * headings[:at].count(heading) for at, heading in enumerate(headings)]


def slider(shown: Slider) -> float:
    """Show a slider in the maker's units, and return where it stands, in SI."""
    place = st.slider(
        escape(shown.label), shown.low, shown.high, shown.value, shown.step, format="%g"
    )
    return shown.in_si(place)


def bullets(texts: Sequence[str]) -> None:
    """Show a short list; nothing if it is empty."""
    if texts:
        st.markdown("\n".join(f"- {escape(text)}" for text in texts))


def lines(heading: str, texts: Sequence[str], *, is_open: bool = True) -> None:
    """Show a short list under a heading; nothing if it is empty."""
    if not texts:
        return
    if is_open:
        section(heading)
        bullets(texts)
        return
    with st.expander(heading):
        bullets(texts)


def how_sure(doubts: Sequence[str], basis: str) -> None:
    """End the page with what the answer rests on and what stands against it."""
    section("How sure, and why")
    say(basis)
    bullets(doubts)
