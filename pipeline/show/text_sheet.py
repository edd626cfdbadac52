"""What `sheet` prints: a page for the kitchen wall."""

from typing import TYPE_CHECKING

from pipeline.show import words_sheet as words
from pipeline.show.console import escape, out
from pipeline.show.listing import print_listing
from pipeline.show.text_bench import say_all
from pipeline.show.text_models import say
from pipeline.show.words_doubts import caution_lines, doubt_lines

if TYPE_CHECKING:
    from pipeline.show.answer import Answer


def sheet(answer: "Answer") -> None:
    """Print what goes in, the vessel, the plan of steps and what to beware of."""
    data, units = answer.data, answer.units
    out(f"[b]{escape(words.sheet_answer(data, units))}[/b]")
    print_listing(words.lines_listing(data, units))
    for line in words.vessel_lines(data, units):
        out(escape(line))
    print_listing(words.steps_listing(data, units))
    say_all("Take care", caution_lines(data["cautions"]))
    say_all("About the fruit", words.fruit_lines(data))
    say("Doubts", doubt_lines([data]))
    say("Do this next", [data["next_step"]])
    if data["calendar"]:
        out(f"The plan is in {escape(data['calendar'])}: open it with your calendar.")
    if data.get("page"):
        out(f"The page to print is in {escape(data['page'])}: open it with your browser.")
