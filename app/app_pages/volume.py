"""Will it fill the vessel? Finished volume against fruit load, fruit by fruit."""

import streamlit as st

from app import cache, frame
from app.questions import PAGES
from pipeline.advice.usual import usual_vessel
from pipeline.show import words_fit, words_planner, words_volume
from pipeline.show.plots_volume import fruit_yields, planned_volume, volume_curve

units = cache.units()
found = cache.ask("volume")
fruits = {fruit["fruit"]: fruit for fruit in words_volume.most_made_first(found)}

frame.question(PAGES["volume"], words_volume.volume_answer(found, units))
if not fruits:
    frame.next_step(
        "Log what each batch aims at (target_volume in batches.csv), the weight of its fruit, and "
        "what was bottled (transfers.csv)."
    )
    st.stop()

chosen = fruits[st.selectbox("Fruit", list(fruits))]
frame.say(words_volume.fruit_answer(chosen, units))
batches = cache.cellar().table("batches")
frame.plot(lambda: volume_curve(chosen, batches, units), chosen["fruit"])
frame.listing(words_volume.water_listing([chosen], units))

frame.section("Plan a vessel")
usual = usual_vessel(cache.cellar(), chosen["fruit"])
target_l = frame.slider(words_planner.target_slider(units, usual["target_l"]))
fruit_kg = frame.slider(
    words_planner.fruit_slider(units, chosen["fruit"], target_l, usual["load_kg_l"])
)
water_l = frame.slider(words_planner.water_slider(units, target_l, usual["water_l_l"]))
planned = cache.ask(
    "planner",
    fruit=chosen["fruit"],
    fruit_kg=fruit_kg,
    water_l=water_l,
    target_l=target_l,
)
frame.say(words_planner.planner_answer(planned, units))
if planned["finished_volume"] is not None:
    frame.plot(lambda: planned_volume(planned, units), planned)
    frame.listing(words_planner.planner_listing(planned, units))

frame.section("Every fruit")
frame.plot(lambda: fruit_yields(found, units), None)
frame.wide_listing(words_volume.volume_listing(found, units))
frame.how_sure(words_volume.volume_doubts(found), words_volume.BASIS)
frame.bullets(words_fit.unseen_lines(cache.ask("fit"), ["volume"]))
