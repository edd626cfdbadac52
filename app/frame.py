"""What every page has in common: question, answer, plot, table, how sure and why."""

from collections.abc import Callable, Sequence
from urllib.parse import quote

import altair as alt
import polars as pl
import streamlit as st

from app import cache, styles
from pipeline.show import hypertext
from pipeline.show.listing import Listing
from pipeline.show.markdown import escape, label
from pipeline.show.palette import inked
from pipeline.show.sentences import first_sentence
from pipeline.show.words_planner import Slider

_AT_FAULT = ' class="at-fault"'
_MANY = 1000  # rows from here on are sent as somebody scrolls to them
WIDTH = 980  # [px] of text and plots: a longer line is hard to read


def printable() -> None:
    """Let the browser print the whole page, on white, without what can only be clicked."""
    st.html(styles.PRINT)


def question(text: str, answer: str) -> None:
    """Head the page with its question and the answer in a sentence, and what else it says."""
    sentence, more = first_sentence(answer)
    st.title(text, anchor=False)
    st.header(escape(sentence), anchor=False)
    if more:
        say(more)


def section(text: str) -> None:
    """Begin a part of the page."""
    st.subheader(escape(text), anchor=False)


def say(text: str) -> None:
    """Show a sentence."""
    st.markdown(escape(text))


def small_heading(text: str) -> None:
    """Head one of several like things."""
    st.markdown(f"**{escape(text)}**")


def shown(text: str) -> str:
    """Return a text that stands in a label of the page, letter by letter."""
    return label(text)


def done(text: str) -> None:
    """Say that something was done."""
    st.success(escape(text))


def passing(text: str) -> None:
    """Say for a moment, wherever somebody is looking, that something was done."""
    st.toast(escape(text))


def refused(text: str) -> None:
    """Say that something was not done, and why."""
    st.warning(escape(text))


def as_written(cells: Sequence[tuple[str, str, bool]]) -> None:
    """Show a row as it was written, with the cells at fault marked.

    Parameters
    ----------
    cells : sequence of tuple
        Heading, text, and whether it is at fault.
    """
    parts = [
        f"<div{_AT_FAULT if is_marked else ''}><dt>{hypertext.escape(heading)}</dt>"
        f"<dd>{'→ ' if is_marked else ''}{hypertext.escape(text)}</dd></div>"
        for heading, text, is_marked in cells
    ]
    st.html(f"{styles.ROW}<dl class='as-written'>{''.join(parts)}</dl>")


def next_step(sentence: str, command: str = "") -> None:
    """Say what to do where there is nothing to show yet, with what to type."""
    st.info(escape(sentence))
    if command:
        st.code(command, language=None)


def link(page: str, text: str, **about: str) -> None:
    """Lead to another page, which opens with what it is about."""
    st.page_link(f"app_pages/{page}.py", label=label(text), query_params=about or None)


def plot(draw: Callable[[], alt.LayerChart | None], about: object) -> None:
    """Show a plot over the whole width; nothing if there is none to draw.

    Parameters
    ----------
    draw : callable
        Draws it; called only where the same plot has not been drawn before.
    about : object
        What it depends on beside the logbook: what is chosen on the page.
    """
    is_dark = _is_dark()
    spec = cache.kept(
        draw, (about, is_dark), lambda chart: None if chart is None else inked(chart, is_dark)
    )
    if spec is not None:
        st.vega_lite_chart(spec=spec, width="stretch")


def small_plots(draw: Callable[[], Sequence[alt.LayerChart]], about: object) -> None:
    """Show small plots side by side, as many to a row as fit; see `plot`."""
    is_dark = _is_dark()
    specs = cache.kept(
        draw, (about, is_dark), lambda charts: [inked(chart, is_dark) for chart in charts]
    )
    with st.container(horizontal=True, gap="medium"):
        for spec in specs:
            st.vega_lite_chart(spec=spec, width="content")


def _is_dark() -> bool:
    return st.context.theme.type == "dark"


def batches(shown: pl.DataFrame, decimals: dict[str, int]) -> None:
    """Show the long table of batches: it scrolls and sorts."""
    numbers = {
        name: st.column_config.NumberColumn(format=f"%.{places}f")
        for name, places in decimals.items()
    }
    started = st.column_config.DateColumn(format="D MMM YYYY")
    first = st.column_config.TextColumn(pinned=True)
    story = st.column_config.LinkColumn(display_text="open")
    st.dataframe(
        shown.with_columns(
            story=pl.col("batch").map_elements(
                lambda batch: f"batch?batch={quote(batch, safe='')}", return_dtype=pl.String
            )
        ),
        hide_index=True,
        placeholder="–",
        lazy=shown.height > _MANY or None,
        column_config={**numbers, "started": started, "batch": first, "story": story},
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
        height="content" if len(full.rows) <= _MANY else "auto",
        lazy=len(full.rows) > _MANY or None,
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


def log(shown: Listing) -> None:
    """Show rows of long text: on a phone the text of each stands below, over the whole width."""
    st.html(styles.LOG)
    with st.container(key="log"):
        listing(shown)


def _frame(headings: list[str], rows: Sequence[Sequence[str]]) -> pl.DataFrame:
    return pl.DataFrame(rows, schema=dict.fromkeys(headings, pl.String), orient="row")


def _distinct(headings: list[str]) -> list[str]:
    """Return the headings told apart by blanks, since a table cannot have one twice."""
    return [heading + " " * headings[:at].count(heading) for at, heading in enumerate(headings)]


def slider(shown: Slider) -> float:
    """Show a slider in the maker's units, and return where it stands, in SI."""
    place = st.slider(
        label(shown.label), shown.low, shown.high, shown.value, shown.step, format="%g"
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
