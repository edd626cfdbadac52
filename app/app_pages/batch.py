"""One batch: its whole story, from the first fruit to the last glass, on a page that prints."""

import polars as pl
import streamlit as st

from app import cache, frame
from app.choosing import chosen_batch
from app.questions import PAGES
from pipeline.advice import story
from pipeline.show import (
    faults,
    words_batch,
    words_batch_log,
    words_harsh,
    words_problems,
    words_shelf,
)
from pipeline.show.plots_balance import balance_strips
from pipeline.show.plots_batch import glasses_plot, gravity_story, volume_stages
from pipeline.show.words_doubts import caution_lines

QUESTION = PAGES["batch"]

cellar, units = cache.cellar(), cache.units()
batches = cellar.table("batches")
choices = cache.kept(lambda: words_shelf.batch_choices(batches), None)
frame.printable()
head = st.container()
if not choices:
    with head:
        frame.question(QUESTION, "There is no batch in the logbook yet.")
    frame.next_step("Log a first batch: a row in batches.csv, and what went into it.")
    st.stop()

chosen = chosen_batch(choices, "story_batch")
batch = cellar.batch(chosen)
mine = pl.col("batch_id") == chosen
readings, glasses = (cellar.table(name).filter(mine) for name in ("readings", "glasses"))
log = cache.kept(lambda: story.batch_log(cellar, chosen), chosen)
with head:
    frame.question(QUESTION, words_batch.batch_answer(batch, units))

done = cache.kept(lambda: story.events(cellar, chosen), chosen)
frame.plot(lambda: gravity_story(readings, done, words_batch.gravity_title(batch)), chosen)
frame.section("The batch as a whole")
frame.listing(words_batch.facts_listing(batch, units))
frame.say(words_batch.cost_answer(batch, story.costs(cellar, chosen), units))

volumes = story.volumes(cellar, chosen)
frame.section("How much there was")
if not volumes.is_empty():
    title = words_batch.volume_title(batch, units)
    frame.plot(lambda: volume_stages(volumes, batch["target_volume_l"], units, title), chosen)
frame.listing(words_batch.volumes_listing(volumes, batch["target_volume_l"], units))

frame.section("How it is balanced")
frame.small_plots(lambda: balance_strips(batches, chosen, units), chosen)
frame.listing(words_batch.balance_listing(story.balance(cellar, chosen), units))

frame.section("How it tasted")
said = words_batch.glasses_answer(glasses, batch, units)
frame.say(said)
frame.plot(lambda: glasses_plot(glasses, said), chosen)
frame.wide_listing(words_batch_log.glasses_listing(glasses))
if batch["harshness"] is not None:
    reasons = cache.ask("harsh", batch=chosen)
    frame.say(words_harsh.batch_answer(reasons, units))
    frame.link("harsh", "Why it is harsh, and what to do", batch=chosen)

frame.section("Day by day, as it was written")
frame.log(words_batch_log.log_listing(log, batch["started_on"]))

wrong = faults.of_rows(cellar.table("problems"), [(row.file, row.line) for row in log])
if not wrong.is_empty():
    frame.lines("What is wrong with its rows", words_problems.place_lines(wrong))
    frame.link("problems", "Mend them")
cautions = cache.kept(lambda: caution_lines(story.batch_cautions(cellar, chosen)), chosen)
frame.lines("Take care", cautions)
with st.container(horizontal=True):
    frame.link("bench", "What it needs at the bench", batch=chosen)
frame.how_sure(words_batch.doubts(batch, units), words_batch.BASIS)
