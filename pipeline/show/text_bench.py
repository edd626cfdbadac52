"""What `bench` prints."""

from typing import TYPE_CHECKING

from pipeline.show import words_bench as words
from pipeline.show import words_blend
from pipeline.show.console import escape, out
from pipeline.show.listing import print_listing
from pipeline.show.text_models import say, say_all
from pipeline.show.words_doubts import caution_lines, doubt_lines
from pipeline.show.words_keeping import keeping_lines

if TYPE_CHECKING:
    from pipeline.show.answer import Answer

__all__ = ["bench", "say_all"]


def bench(answer: "Answer") -> None:
    """Print the doses, what they rest on, what cannot be said, and what to do next."""
    data, units = answer.data, answer.units
    for sentence in words.bench_answers(data, units):
        out(f"[b]{escape(sentence)}[/b]")
    out()
    if data["sweeten"]:
        print_listing(words.ladder_listing(data["sweeten"], units))
        out(escape(words.syrup_line(data["sweeten"])))
        out()
    if data["acidity"]:
        print_listing(words.acid_listing(data["acidity"]))
    if data["blend"] and words_blend.is_mixed(data["blend"]):
        print_listing(words_blend.blend_listing(data["blend"], units))
    for trouble in data["troubles"]:
        say_all(words.trouble_heading(trouble), trouble["steps"])
    say("To keep it", keeping_lines(data))
    say("Ceilings", words.limit_lines(data))
    say("Cannot say", words.refusal_lines(data))
    say("Do this next", [data["next_step"]])
    say_all("Take care", caution_lines(data["cautions"]))
    say("Doubts", doubt_lines([data]))
    say_all("Rests on", words.reading_lines(data, units))
