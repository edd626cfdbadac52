"""What the logs got wrong: each fault in its row, and a place to type what it should say."""

import streamlit as st

from app import cache, frame, mending
from app.questions import PAGES
from pipeline.show import faults, words_problems, words_rules
from pipeline.show.plots_problems import fault_plot

cellar = cache.cellar()
problems, files = cellar.table("problems"), cellar.table("files")

frame.question(PAGES["problems"], words_problems.problems_answer(problems, files))
if problems.is_empty():
    mending.rows(lambda _: [], 0)
    frame.next_step("Nothing to mend. This page follows the files as you save them.")
    frame.how_sure([], words_problems.BASIS)
    st.stop()

frame.plot(lambda: fault_plot(words_problems.fault_counts(problems)), None)

frame.section("Row by row")
with st.container(horizontal=True):
    level = st.selectbox(
        "Show",
        [None, *words_problems.choices(problems, "level")],
        format_func=lambda level: words_problems.LEVEL_WORDS.get(level, "everything"),
    )
    file = st.selectbox(
        "File",
        [None, *words_problems.choices(problems, "file")],
        format_func=lambda file: file or "every file",
    )
    rule = st.selectbox(
        "What is wrong",
        [None, *words_problems.choices(problems, "rule")],
        format_func=lambda rule: words_rules.rule_words(rule) if rule else "anything",
    )
chosen = faults.narrowed(problems, level, file, rule)
raw = {name: cellar.table(f"raw_{name}") for name in files["contract_file"]}
mending.rows(lambda most: faults.faulty_rows(chosen, files, raw, most), faults.count_rows(chosen))

table = st.expander("Every one in a table", key="every problem", on_change="rerun")
if table.open:
    every = words_problems.problems_listing
    asked = (level, file, rule)
    with table:
        frame.wide_listing(cache.kept(lambda: every(chosen).without_empty_columns(), asked))
frame.how_sure(
    [line for line in (words_problems.waiting_line(problems),) if line], words_problems.BASIS
)
