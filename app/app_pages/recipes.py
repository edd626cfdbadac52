"""Which recipe next? Two or more side by side, and what would make one better."""

import streamlit as st

from app import cache, filling, frame, kitchen
from app.adjusting import adjusted
from app.choosing import chosen_several
from app.questions import PAGES
from pipeline.show import words_compare, words_fit, words_recipes, words_sticking, words_trial
from pipeline.show.plots_compare import comparisons

QUESTION = PAGES["recipes"]

units, cellar = cache.units(), cache.cellar()
doubts: list[str] = []
answers: list[dict] = []  # those that may name a danger
names = words_compare.comparable(cellar.table("musts"), cellar.table("batches"))
planned = words_compare.planned_names(cellar.table("musts"))

head = st.container()
chosen = chosen_several(
    "Compare recipes or batches", names, "compared", first=2, placeholder="Choose two or more"
)
if len(chosen) > 1:
    found = cache.ask("compare", names=chosen)
    with head:
        frame.question(QUESTION, words_compare.compare_answer(found, units))
    frame.small_plots(lambda: comparisons(found, units), chosen)
    frame.listing(words_compare.sides_listing(found, units))
    frame.section("What differs, and what it does")
    frame.listing(words_compare.differences_listing(found, units))
    frame.bullets([*words_compare.weighed_lines(found), *words_compare.tasted_lines(found, units)])
    answers.append(found)
    doubts += words_compare.compare_doubts(found)
else:
    with head:
        frame.question(QUESTION, "Choose two or more to see them side by side.")

frame.section("What would make it better")
if planned:
    recipe = st.selectbox("Recipe", planned)
    advised = cache.ask("suggest", recipe=recipe)
    frame.say(words_recipes.suggest_answer(advised, units))
    frame.lines("Change by change", words_recipes.change_lines(advised, units))
    frame.section("Before and after")
    frame.listing(words_recipes.before_after_listing(advised, units))
    frame.lines("As planned, will it stick?", words_sticking.sticking_lines([advised["before"]]))
    frame.lines("Left as it is", words_recipes.unchanged_lines(advised), is_open=False)
    adjusted(recipe, advised)
    filled_doubts = filling.filled(recipe, advised["before"])
    frame.section("Split a batch to find out")
    trial = cache.ask("trial", recipe=recipe)
    frame.say(words_trial.trial_answer(trial))
    if trial["arms"]:
        frame.say(words_trial.why_line(trial))
        frame.listing(words_trial.considered_listing(trial, units))
    frame.bullets(words_trial.together_lines(trial))
    frame.lines("What earlier splits settled", words_trial.settled_lines(trial, units))
    frame.lines("How to run it", words_trial.run_lines(trial), is_open=False)
    frame.lines("How many tastings", words_trial.tasting_lines(trial), is_open=False)
    answers += [advised, trial]
    doubts += words_recipes.recipe_doubts([advised["after"]]) + words_trial.trial_doubts(trial)
    doubts += filled_doubts
    kitchen.written_out(planned)
else:
    frame.next_step(
        "Write a recipe in recipes.csv, one row for each thing that goes in; "
        "it will be predicted, compared and adjusted here."
    )
    frame.link("add", "Write a recipe down, a line at a time", kind="recipe")
frame.lines("Take care", words_recipes.recipe_cautions(answers))
frame.how_sure(doubts, words_compare.BASIS)
if len(chosen) > 1 or planned:
    tried = words_fit.unseen_lines(cache.ask("fit"), list(words_fit.MODELS))
    frame.lines("Tried on batches it had not seen", tried, is_open=False)
