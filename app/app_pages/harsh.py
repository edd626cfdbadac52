"""Why is it harsh? What goes with harsh glasses, over all batches and in one."""

import streamlit as st

from app import cache, frame
from app.choosing import chosen_batch
from app.questions import PAGES
from pipeline.show import words_fit, words_harsh
from pipeline.show.plots_balance import balance_strips
from pipeline.show.plots_harsh import harsh_drivers, harsh_reasons
from pipeline.show.words_doubts import caution_lines
from pipeline.show.words_shelf import tasted_batches

QUESTION = PAGES["harsh"]
EVERY_BATCH = ""  # no batch can be called that

units = cache.units()
tasted = tasted_batches(cache.cellar().table("batches"))
if not tasted:
    frame.question(QUESTION, "No batch has been tasted yet.")
    frame.next_step(
        "Log a tasting in tastings.csv: astringency, bitterness and warmth from 0 to 10. "
        "Their mean is the harshness."
    )
    st.stop()

head = st.container()
choices = {EVERY_BATCH: "all batches together", **tasted}
batch = chosen_batch(choices, "harsh_batch")
if batch == EVERY_BATCH:
    found = cache.ask("harsh")
    with head:
        frame.question(QUESTION, words_harsh.harsh_answer(found, units))
    frame.plot(lambda: harsh_drivers(found, units), None)
    frame.listing(words_harsh.drivers_listing(found, units))
    frame.how_sure(words_harsh.harsh_doubts(found), words_harsh.BASIS)
else:
    found = cache.ask("harsh", batch=batch)
    with head:
        frame.question(QUESTION, words_harsh.batch_answer(found, units))
    frame.plot(lambda: harsh_reasons(found, units), batch)
    frame.lines("What to do now", words_harsh.advice_lines(found, "now"))
    frame.lines("Next time", words_harsh.advice_lines(found, "next_time"))
    frame.link("recipes", "Plan a split batch: two vessels, one thing different")
    frame.lines("Take care", caution_lines(found.get("cautions", ())))
    frame.section("What sets it apart")
    frame.listing(words_harsh.reasons_listing(found, units))
    frame.section("How it is balanced")
    batches = cache.cellar().table("batches")
    frame.small_plots(lambda: balance_strips(batches, batch, units), batch)
    frame.lines("Rules of thumb", words_harsh.practice_lines(found))
    frame.how_sure(words_harsh.batch_doubts(found), words_harsh.BASIS)
frame.bullets(words_fit.unseen_lines(cache.ask("fit"), ["harshness"]))
