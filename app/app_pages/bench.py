"""What does this wine need? Doses at the bench for one wine, from its own readings."""

import streamlit as st

from app import bench_form, cache, frame
from app.choosing import chosen_batch
from app.questions import PAGES
from pipeline.advice import bench
from pipeline.advice.bench.wishes import read_wishes
from pipeline.errors import HedgerowError
from pipeline.show import words_bench, words_bench_page, words_blend
from pipeline.show.plots_balance import balance_strips
from pipeline.show.words_doubts import caution_lines, doubt_lines
from pipeline.show.words_keeping import keeping_lines

QUESTION = PAGES["bench"]

cellar, units = cache.cellar(), cache.units()
wines = cache.kept(lambda: words_bench_page.treatable(cellar.table("batches")), None)
head = st.container()
if not wines:
    with head:
        frame.question(QUESTION, "There is no wine at the bench yet.")
    frame.next_step("Log a batch and its readings; doses are worked out from them here.")
    st.stop()

batch = chosen_batch(wines, "bench_batch")
task, numbers, blend = bench_form.asked(wines, batch, units)
if words_bench_page.asked_for_nothing(task, numbers, blend):
    with head:
        frame.question(QUESTION, words_bench_page.ASK[task])
    frame.small_plots(lambda: balance_strips(cellar.table("batches"), batch, units), batch)
    frame.how_sure([], words_bench_page.BASIS)
    st.stop()

gallon = cellar.batch(batch)["gallon"] or cellar.settings()["gallon"]
typed = words_bench_page.options(numbers, blend, units)
try:
    found = cache.kept(
        lambda: bench.answer(cellar, batch, read_wishes(typed, gallon)), (batch, typed)
    )
except HedgerowError as refusal:
    with head:
        frame.question(QUESTION, words_bench_page.on_the_page(str(refusal), batch))
    frame.how_sure([], words_bench_page.BASIS)
    st.stop()
with head:
    frame.question(QUESTION, words_bench_page.bench_answer(task, found, units))

aims = words_bench_page.wanted(task, numbers, found)
frame.small_plots(
    lambda: balance_strips(cellar.table("batches"), batch, units, aims), (batch, aims)
)
if found["sweeten"] and task == "sweeten":
    frame.section("Taste it first, in five glasses")
    frame.listing(words_bench.ladder_listing(found["sweeten"], units))
    frame.say(words_bench.syrup_line(found["sweeten"]))
if found["acidity"]:
    frame.section("One of these, not all")
    frame.listing(words_bench.acid_listing(found["acidity"]))
if found["blend"] and words_blend.is_mixed(found["blend"]):
    frame.section("The blend")
    frame.listing(words_blend.blend_listing(found["blend"], units))
frame.lines("To keep it", keeping_lines(found))
for trouble in found["troubles"]:
    frame.lines(words_bench.trouble_heading(trouble), trouble["steps"])
bench_form.refused(found)
frame.lines("Do this next", [words_bench_page.on_the_page(found["next_step"], batch)])
frame.lines("Take care", caution_lines(found["cautions"]))
frame.lines("Ceilings", words_bench.limit_lines(found))
frame.link("batch", "The whole story of this batch", batch=batch)
frame.how_sure(
    [*words_bench.reading_lines(found, units), *doubt_lines([found])], words_bench_page.BASIS
)
