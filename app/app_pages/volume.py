"""Will it fill the vessel? Finished volume against fruit load, fruit by fruit."""

import streamlit as st

from app import cache, frame
from pipeline.show import words_volume
from pipeline.show.plots_volume import fruit_yields, volume_curve

units = cache.units()
found = cache.ask("volume")
fruits = {fruit["fruit"]: fruit for fruit in words_volume.most_made_first(found)}

frame.question("Will it fill the vessel?", words_volume.volume_answer(found, units))
if not fruits:
    frame.next_step(
        "Log what each batch aims at (target_volume in batches.csv), the weight of its fruit, and "
        "what was bottled (transfers.csv)."
    )
    st.stop()

chosen = fruits[st.selectbox("Fruit", list(fruits))]
frame.say(words_volume.fruit_answer(chosen, units))
frame.plot(volume_curve(chosen, cache.cellar().table("batches"), units))
frame.listing(words_volume.water_listing([chosen], units))

frame.section("Every fruit")
frame.plot(fruit_yields(found, units))
frame.wide_listing(words_volume.volume_listing(found, units))
frame.how_sure(words_volume.volume_doubts(found), words_volume.BASIS)
