"""What is wanted of a wine: the fields of the bench, and what it cannot answer."""

from collections.abc import Mapping

import streamlit as st

from app import frame
from app.choosing import chosen_several
from pipeline.show import words_bench, words_bench_page
from pipeline.show.units import Units

Numbers = dict[str, float | None]


def asked(wines: Mapping[str, str], batch: str, units: Units) -> tuple[str, Numbers, list[str]]:
    """Show the fields of one task, and return the task, its numbers and the wines to blend with.

    Parameters
    ----------
    wines : mapping of str to str
        Batches there is wine of, each as a choice in words.
    batch : str
        The one at the bench.
    units : Units
        The logbook's.
    """
    tasks = words_bench_page.TASKS
    task = st.radio(
        "What do you want to do?", list(tasks), format_func=tasks.__getitem__, horizontal=True
    )
    blend: list[str] = []
    if task == "blend":
        others = {other: words for other, words in wines.items() if other != batch}
        blend = chosen_several("With", others, "blended with")
    with st.container(horizontal=True):
        numbers = {name: _number(name, units) for name in words_bench_page.FIELDS[str(task)]}
    if task == "acid":
        with st.expander("I have just titrated it"), st.container(horizontal=True):
            numbers |= {name: _number(name, units) for name in words_bench_page.TITRATION}
    return str(task), numbers, blend


def _number(name: str, units: Units) -> float | None:
    field = words_bench_page.FIELD[name]
    label = field.label.format(volume=units.volume_unit)
    return st.number_input(
        label,
        field.low,
        field.high,
        None,
        field.step,
        format=f"%.{field.decimals}f",
        placeholder=field.empty,
        key=f"bench {name}",
    )


def refused(found: dict) -> None:
    """Say what cannot be answered and why, and lead to where a reading is logged."""
    batch = found["batch"]
    lines = [words_bench_page.on_the_page(line, batch) for line in words_bench.refusal_lines(found)]
    if not lines:
        return
    frame.lines("Cannot say yet", lines)
    if words_bench_page.lacking(found):
        frame.link("add", "Add that reading", batch=batch, kind="reading")
