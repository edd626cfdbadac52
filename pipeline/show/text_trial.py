"""What `trial` prints: the split batch, how to run it, the blind sheet, and what pairs settled."""

from typing import TYPE_CHECKING

from pipeline.show import words_tasting
from pipeline.show import words_trial as words
from pipeline.show.console import escape, out
from pipeline.show.listing import print_listing
from pipeline.show.text_bench import say_all
from pipeline.show.text_models import say
from pipeline.show.words_doubts import caution_lines

if TYPE_CHECKING:
    from pipeline.show.answer import Answer


def trial(answer: "Answer") -> None:
    """Print what to try and why, how to run and taste it, and what earlier pairs settled."""
    data, units = answer.data, answer.units
    out(f"[b]{escape(words.trial_answer(data))}[/b]")
    if data["arms"]:
        out(escape(words.why_line(data)))
        print_listing(words.considered_listing(data, units))
        out(escape(words.others_line(data)))
        out()
    say_all("Never told apart", words.together_lines(data))
    say_all("How to run it", data["how"])
    if data["arms"]:
        say_all("How many tastings", words.tasting_lines(data))
        _sheet(answer)
        say_all("Write it down", [data["log_as"]["text"], words.about(data)])
    say_all("Already tried", words.settled_lines(data, units))
    say_all("Take care", caution_lines(data["cautions"]))
    say("Doubts", words.trial_doubts(data))


def _sheet(answer: "Answer") -> None:
    out(f"[b]The blind sheet[/b]  {escape(words.question(answer.data))}")
    print_listing(words_tasting.sheet_listing(answer.data["sheet"]))
    out("✂ --------------- for the one who pours; fold it away ---------------")
    print_listing(words.key_listing(answer.data))
