"""What `tasting` prints: two sheets, one to hand out and one to fold away."""

from typing import TYPE_CHECKING

from pipeline.show import words_tasting as words
from pipeline.show.console import escape, out
from pipeline.show.listing import print_listing
from pipeline.show.text_bench import say_all
from pipeline.show.text_models import say
from pipeline.show.words_doubts import caution_lines

if TYPE_CHECKING:
    from pipeline.show.answer import Answer


def tasting(answer: "Answer") -> None:
    """Print the answer, the tasters' sheet, the key, and how much it can show."""
    data = answer.data
    out(f"[b]{escape(words.tasting_answer(data))}[/b]")
    if data["verdict"] is None:
        out(escape(words.question(data)))
        print_listing(words.sheet_listing(data))
        out("✂ --------------- for the one who pours; fold it away ---------------")
        print_listing(words.key_listing(data))
    say("How much it can show", words.power_lines(data))
    say("From the logbook", words.score_lines(data))
    say("Do this next", [data["next_step"]])
    say_all("Take care", caution_lines(data["cautions"]))
