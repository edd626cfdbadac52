"""What is said where there is no logbook yet, and what is asked before one is started."""

from collections.abc import Mapping
from dataclasses import dataclass, field

NOTHING_YET = "There is no logbook in this folder yet."
START = "Start a logbook"
NOT_STARTED = "Not started."


@dataclass(frozen=True)
class Setting:
    """One thing that is asked before a logbook is started.

    Attributes
    ----------
    label : str
        The question.
    choices : dict
        What can be answered, with its words; empty for a typed answer.
    value : str
        What stands there at first.
    """

    label: str
    choices: Mapping[str, str] = field(default_factory=dict)
    value: str = ""


SETTINGS = {
    "show": Setting(
        "Which units do you think in?",
        {
            "metric": "kilograms, litres, °C",
            "us": "pounds, US gallons (3.785 L), °F",
            "imperial": "pounds, imperial gallons (4.546 L), °C",
        },
    ),
    "dates": Setting(
        "How do you write a day?",
        {
            "": "2026-04-03 or 3 Apr 2026",
            "day-first": "also 03/04/2026 for 3 April",
            "month-first": "also 04/03/2026 for 3 April",
        },
    ),
    "decimal": Setting("One and a half is", {".": "1.5", ",": "1,5"}),
    "score_out_of": Setting("Out of how many points do you score a wine?", value="20"),
}


def settings_said(said: Mapping[str, str]) -> dict[str, str]:
    """Return the settings that the answers make: who thinks in gallons writes their own."""
    gallon = said["show"] if said["show"] in ("us", "imperial") else ""
    return {**said, "gallon": gallon}


def files_line(folder: str) -> str:
    """Say what starting a logbook does."""
    return (
        f"This writes a settings file and empty tables into the folder '{folder}'; nothing that is "
        "there is changed. Every answer can be changed later in logbook.toml."
    )
