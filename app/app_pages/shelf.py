"""What is on the shelf? Every batch, its state, and the gravity of those still on the move."""

from datetime import date

import streamlit as st

from app import cache, frame
from app.questions import PAGES
from pipeline.advice.cautions.shelf import shelf_cautions
from pipeline.advice.due import due
from pipeline.advice.years import home_limits_l, year_totals
from pipeline.show import words_due
from pipeline.show.plots_gravity import running_curves
from pipeline.show.words_care import care_lines
from pipeline.show.words_shelf import (
    curves_answer,
    set_aside_basis,
    shelf_answer,
    shelf_decimals,
    shelf_doubts,
    shelf_frame,
    states_of,
)

cellar, units = cache.cellar(), cache.units()
batches, readings = cellar.table("batches"), cellar.table("readings")

frame.question(PAGES["shelf"], shelf_answer(batches))
if batches.is_empty():
    frame.next_step(
        "Log a first batch: a row in batches.csv and what went into it in additions.csv. "
        "This page follows the files as you save them.",
        f"hedgerow check {cache.folder()}",
    )
    st.stop()

waiting = cache.kept(lambda: due(cellar, date.today()), None)
frame.section("Due this week")
frame.say(words_due.due_answer(waiting))
frame.bullets(words_due.due_lines(waiting))
if not waiting.is_empty():
    with st.expander("Each with its day"):
        frame.listing(words_due.due_listing(waiting))

frame.section("Gravity so far")
frame.say(curves_answer(batches))
frame.small_plots(lambda: running_curves(batches, readings), None)

frame.section("Every batch")
states = st.pills("Show only", states_of(batches), selection_mode="multi", default=[])
shown = cache.kept(lambda: shelf_frame(batches, units, states), states)
frame.batches(shown, shelf_decimals(units))

totals = cache.kept(lambda: year_totals(batches), None)
frame.section("Year by year")
frame.listing(words_due.years_listing(totals, units))
frame.say(words_due.home_rule(totals, home_limits_l(), units))
frame.lines("Take care", cache.kept(lambda: care_lines(shelf_cautions(cellar)), None))
frame.how_sure(
    [*shelf_doubts(batches), words_due.DUE_BASIS], set_aside_basis(cellar.table("files"))
)
