"""The forms for the logbook: what each asks for, in which words, with an example."""

from collections.abc import Sequence
from dataclasses import dataclass
from typing import Literal

from pipeline.logbook.contract import FAULTS, FILES, FORMS, GALLONS, INTENSITIES, KINDS, STEPS
from pipeline.show.measures import capital
from pipeline.show.units import Units

Asks = Literal["text", "choice", "choices", "batch"]
TODAY = "today"
_YES_NO = ("yes", "no")


@dataclass(frozen=True)
class Ask:
    """One cell that a form asks for.

    Attributes
    ----------
    column : str
        The contract's column.
    label : str
        What it is called on the form.
    example : str
        What a cell may look like, in the maker's units.
    asks : {"text", "choice", "choices", "batch"}
        How it is asked: typed, chosen, several chosen, or one of the batches there are.
    choices : tuple of str
        What can be chosen.
    value : str
        What stands there at first.
    is_short : bool
        Whether a few letters are enough for it.
    """

    column: str
    label: str
    example: str = ""
    asks: Asks = "text"
    choices: tuple[str, ...] = ()
    value: str = ""
    is_short: bool = True


@dataclass(frozen=True)
class EntryForm:
    """A form for one kind of entry.

    Attributes
    ----------
    kind : str
        One of the kinds of entries, such as ``reading``.
    title : str
        What the tab is called.
    usual, more : tuple of Ask
        What is usually filled in, and the rest.
    """

    kind: str
    title: str
    usual: tuple[Ask, ...]
    more: tuple[Ask, ...]


_BATCH = Ask("batch_id", "Batch", asks="batch")
_THINGS = "damson, white sugar, citric acid"
_NOTES = Ask("notes", "Notes", "anything worth remembering", is_short=False)


def _day(column: str, label: str = "Day") -> Ask:
    return Ask(column, label, "today, yesterday, 2026-11-25 or 25 Nov 2026", value=TODAY)


def _choice(column: str, label: str, choices: Sequence[str]) -> Ask:
    return Ask(column, label, asks="choice", choices=("", *choices))


def _of(file: str, column: str) -> tuple[str, ...]:
    return next(one.choices for one in FILES[file] if one.name == column)


def forms(units: Units) -> tuple[EntryForm, ...]:
    """Return the forms, in the order in which they are most used.

    Parameters
    ----------
    units : Units
        The logbook's, for the examples.
    """
    entries = (_reading(units), _addition(units), _transfer(units), _tasting(), _batch(units))
    return (*entries, _recipe(units))


def _warm(units: Units) -> str:
    return "68 F" if units.show == "us" else "20 C"


def _much(units: Units, litres: str = "4.2", gallons: str = "0.9") -> str:
    return f"{litres} L" if units.show == "metric" else f"{gallons} {units.volume_unit}"


def _reading(units: Units) -> EntryForm:
    return EntryForm(
        "reading",
        "Reading",
        (
            _BATCH,
            Ask("gravity", "Gravity", "1.012 or 22.5 Bx"),
            Ask("temperature", "Temperature of it", _warm(units)),
            Ask("ph", "pH, if taken", "3.4"),
            _day("taken_on"),
        ),
        (
            Ask("must_temperature", "Temperature of the must", _warm(units)),
            Ask("volume", "How much is in the vessel", _much(units)),
            Ask("ta", "Titratable acidity", "6.5 g/L"),
            _choice("ta_as", "Acidity is expressed as", _of("readings", "ta_as")),
            Ask("free_so2", "Free sulphur dioxide", "30 mg/L"),
            _choice("instrument", "Gravity read with", _of("readings", "instrument")),
            _NOTES,
        ),
    )


def _weight(units: Units) -> str:
    return "2 kg, 450 g or 1/2 tsp" if units.show == "metric" else "4.5 lb, 1 lb 14 oz or 1/2 tsp"


def _fruit(file: str) -> tuple[Ask, ...]:
    return (
        _choice("form", "Fruit was", [*FORMS, *(f"{form} frozen" for form in FORMS)]),
        _choice("skins", "Fruit's skins", _of(file, "skins")),
        _choice("ripeness", "Fruit's ripeness", _of(file, "ripeness")),
    )


def _addition(units: Units) -> EntryForm:
    return EntryForm(
        "addition",
        "Addition",
        (
            _BATCH,
            _choice("kind", "Sort of thing", KINDS),
            Ask("ingredient", "What went in", _THINGS, is_short=False),
            Ask("amount", "How much", _weight(units)),
            _day("added_on"),
        ),
        (
            *_fruit("additions"),
            Ask("removed_on", "Day the fruit came out", "2026-11-25"),
            Ask("cost", "What it cost", "3.50"),
            _NOTES,
        ),
    )


def _transfer(units: Units) -> EntryForm:
    return EntryForm(
        "transfer",
        "Transfer",
        (
            _BATCH,
            _choice("step", "What was done", STEPS),
            Ask("volume_after", "Wine after it", _much(units)),
            Ask("bottles", "Bottles filled", "6"),
            _day("moved_on"),
        ),
        (
            _choice("pressed", "At straining, the fruit was", _of("transfers", "pressed")),
            Ask("topped_up", "Topped up by", "0.2 L" if units.show == "metric" else "8 floz"),
            _choice("topped_up_with", "Topped up with", _of("transfers", "topped_up_with")),
            _NOTES,
        ),
    )


def _tasting() -> EntryForm:
    harsh = ("astringency", "bitterness", "warmth")
    rest = [name for name in INTENSITIES if name not in harsh]
    scale = "0 none to 10 very strong"
    return EntryForm(
        "tasting",
        "Tasting",
        (
            _BATCH,
            Ask("taster", "Taster", "name or initials"),
            Ask("score", "Score, all in all", "on your one scale"),
            *(Ask(name, capital(name), scale) for name in harsh),
            _day("tasted_on"),
        ),
        (
            *(Ask(name, capital(name), scale) for name in rest),
            Ask("sweetened_to", "Sugar stirred into the glass", "20 g/L"),
            _choice("blind", "Tasted blind", _YES_NO),
            Ask("faults", "Faults", asks="choices", choices=FAULTS),
            _NOTES,
        ),
    )


def _batch(units: Units) -> EntryForm:
    return EntryForm(
        "batch",
        "Batch",
        (
            Ask("batch_id", "Its number", "2026-07, no other has it"),
            Ask("name", "What you call it", "damson, skins off", is_short=False),
            Ask("target_volume", "Wine you aim at", _much(units, "4.5", "1")),
            Ask("yeast", "Yeast", "as you call it"),
            _day("started_on", "Put together on"),
        ),
        (
            Ask("recipe", "Recipe it follows", "damson plain"),
            _choice("extraction", "How the fruit was drawn out", _of("batches", "extraction")),
            _choice("gallon", "Gallon it is written in", GALLONS),
            _choice("status", "Where it stands, if you want to say", _of("batches", "status")),
            _NOTES,
        ),
    )


def _recipe(units: Units) -> EntryForm:
    """One line of a recipe; what holds for all of it is wanted on one line only."""
    return EntryForm(
        "recipe",
        "Recipe",
        (
            Ask("recipe", "Recipe it belongs to", "damson plain", is_short=False),
            _choice("kind", "Sort of thing", KINDS),
            Ask("ingredient", "What goes in", _THINGS, is_short=False),
            Ask("amount", "How much", _weight(units)),
            Ask("day", "On which day", "0 is the start", value="0"),
            Ask("target_volume", "Wine it aims at", _much(units, "4.5", "1")),
            Ask("yeast", "Yeast", "as you call it"),
        ),
        (
            *_fruit("recipes"),
            Ask("removed_day", "Day the fruit comes out", "7"),
            Ask("cost", "What it costs", "3.50"),
            Ask("ferment_temperature", "Warmth it ferments at", _warm(units)),
            Ask("sweeten_to", "Sugar it is sweetened to", "20 g/L"),
            Ask("rackings", "How often it is racked", "2"),
            Ask("taste_day", "Age at tasting, in days", "365"),
            _choice("gallon", "Gallon it is written in", GALLONS),
            _NOTES,
        ),
    )
