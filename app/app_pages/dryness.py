"""How dry will it finish? Yeasts like for like, and the chance that one beats another."""

from datetime import date

import streamlit as st

from app import cache, frame
from app.questions import PAGES
from pipeline.show import words_compare, words_finish, words_fit, words_sticking, words_yeasts
from pipeline.show.plots_gravity import courses_to_come
from pipeline.show.plots_yeasts import yeast_chances, yeast_gravities

units = cache.units()
found = cache.ask("yeasts")

frame.question(PAGES["dryness"], words_yeasts.yeasts_answer(found, units))
if not words_yeasts.driest_first(found):
    frame.next_step(
        "Name the yeast of each batch in batches.csv and log gravities to the end in readings.csv."
    )
    st.stop()

frame.plot(lambda: yeast_gravities(found, units), None)
frame.wide_listing(words_yeasts.yeasts_listing(found, units))

if words_yeasts.pairs_of(found):
    frame.section("One against another")
    frame.plot(lambda: yeast_chances(found), None)
    with st.expander("Every pair in numbers"):
        frame.listing(words_yeasts.pairs_listing(found, units))

courses, cellar = cache.ask("finish"), cache.cellar()
planned = words_compare.planned_names(cellar.table("musts"))
if planned:
    foreseen = cache.ask("predict", recipes=planned)["recipes"]
    frame.lines("Will what you plan stick?", words_sticking.sticking_lines(foreseen))
frame.section("What still ferments")
frame.say(words_finish.finish_answer(courses, date.today()))
batches, readings = cellar.table("batches"), cellar.table("readings")
frame.small_plots(lambda: courses_to_come(courses, batches, readings), None)
frame.listing(words_finish.finish_listing(courses, units))
frame.how_sure(
    [*words_yeasts.yeasts_doubts(found), *words_finish.finish_doubts(courses), words_finish.BASIS],
    words_yeasts.BASIS,
)
frame.bullets(words_fit.unseen_lines(cache.ask("fit"), ["gravity"]))
