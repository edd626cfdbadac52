"""What `fit`, `volume`, `yeasts` and `harsh` print."""

from collections.abc import Iterable
from typing import TYPE_CHECKING

from pipeline.show import words_fit, words_harsh, words_volume, words_yeasts
from pipeline.show.console import escape, out
from pipeline.show.listing import print_listing
from pipeline.show.words_doubts import caution_lines

if TYPE_CHECKING:
    from pipeline.show.answer import Answer

__all__ = ["fit", "harsh", "say", "say_all", "volume", "yeasts"]

LINES_SHOWN = 6


def fit(answer: "Answer") -> None:
    """Say how well each model predicts batches it has not seen."""
    out(f"[b]{escape(words_fit.fit_answer(answer.data))}[/b]")
    out()
    for name, model in answer.data["models"].items():
        out(escape(words_fit.model_sentence(name, model)))
    print_listing(words_fit.fit_listing(answer.data))
    out(escape(words_fit.season_answer(answer.data)))
    print_listing(words_fit.season_listing(answer.data))
    say("Doubts", words_fit.fit_doubts(answer.data))


def volume(answer: "Answer") -> None:
    """Say which fruit loads fill the vessel."""
    fruits = answer.data["fruits"]
    if len(fruits) == 1:
        out(f"[b]{escape(words_volume.fruit_answer(fruits[0], answer.units))}[/b]")
    else:
        out(f"[b]{escape(words_volume.volume_answer(answer.data, answer.units))}[/b]")
    print_listing(words_volume.volume_listing(answer.data, answer.units))
    if len(fruits) == 1:
        print_listing(words_volume.water_listing(fruits, answer.units))
    say("Doubts", words_volume.volume_doubts(answer.data))


def yeasts(answer: "Answer") -> None:
    """Say how dry each yeast finishes, and which can be told apart."""
    out(f"[b]{escape(words_yeasts.yeasts_answer(answer.data, answer.units))}[/b]")
    print_listing(words_yeasts.yeasts_listing(answer.data, answer.units))
    print_listing(words_yeasts.pairs_listing(answer.data, answer.units))
    say("Doubts", words_yeasts.yeasts_doubts(answer.data))


def harsh(answer: "Answer") -> None:
    """Say what goes with harsh glasses, or why one batch is harsh."""
    if "drivers" in answer.data:
        _drivers(answer)
    else:
        _batch(answer)


def _drivers(answer: "Answer") -> None:
    out(f"[b]{escape(words_harsh.harsh_answer(answer.data, answer.units))}[/b]")
    print_listing(words_harsh.drivers_listing(answer.data, answer.units))
    say("Doubts", words_harsh.harsh_doubts(answer.data))


def _batch(answer: "Answer") -> None:
    out(f"[b]{escape(words_harsh.batch_answer(answer.data, answer.units))}[/b]")
    print_listing(words_harsh.reasons_listing(answer.data, answer.units))
    say("Rules of thumb", words_harsh.practice_lines(answer.data))
    say("What to do now", words_harsh.advice_lines(answer.data, "now"))
    say("Next time", words_harsh.advice_lines(answer.data, "next_time"))
    say_all("Take care", caution_lines(answer.data.get("cautions", ())))
    say("Doubts", words_harsh.batch_doubts(answer.data))


def say(heading: str, lines: Iterable[str]) -> None:
    """Print a short list under a heading; nothing if it is empty."""
    listed = list(lines)
    if not listed:
        return
    out(f"[b]{heading}[/b]")
    for line in listed[:LINES_SHOWN]:
        out(f"  · {escape(line)}")
    if len(listed) > LINES_SHOWN:
        out(f"  · and {len(listed) - LINES_SHOWN} more; --json lists them all")
    out()


def say_all(heading: str, lines: Iterable[str]) -> None:
    """Print a whole list under a heading: what can hurt somebody is never cut short."""
    listed = list(lines)
    if not listed:
        return
    out(f"[b]{heading}[/b]")
    for line in listed:
        out(f"  · {escape(line)}")
    out()
