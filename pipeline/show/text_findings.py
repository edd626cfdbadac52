"""What `demo` prints: the three questions of a maker, each answered, doubted and led on from."""

import shlex
from typing import TYPE_CHECKING

from pipeline.counts import counted
from pipeline.show import words_harsh, words_volume, words_yeasts
from pipeline.show.console import escape, out
from pipeline.show.listing import Listing, print_listing

if TYPE_CHECKING:
    from pipeline.show.answer import Answer
    from pipeline.show.units import Units

ROWS_SHOWN = 6
DOUBTS_SHOWN = 2


def findings(answer: "Answer") -> None:
    """Print the findings on a logbook.

    Parameters
    ----------
    answer : Answer
        `data` holds `folder` (text), `files` (as `check`), and the answers of `volume`, `yeasts`
        and `harsh` under those names; `harsh_batch`, if there, is `harsh` of the harshest batch.
    """
    data, units = answer.data, answer.units
    out(_read(data))
    _volume(data, units)
    _yeasts(data, units)
    _harsh(data, units)
    out()
    _next("app", data, opening="To see it all with plots:")


def _read(data: dict) -> str:
    read = sum(file["rows_read"] for file in data["files"])
    aside = sum(file["rows_set_aside"] for file in data["files"])
    folder = escape(str(data["folder"]))
    text = f"The logbook is in [b]{folder}[/b]: {counted(read, 'row')} read, {aside} set aside"
    return f"{text} (why: hedgerow check {folder})." if aside else f"{text}."


def _volume(data: dict, units: "Units") -> None:
    _question("Which fruit loads give full volume?")
    found = data["volume"]
    out(escape(words_volume.volume_answer(found, units)))
    most = next(iter(words_volume.most_made_first(found)), None)
    if most:
        out(escape(words_volume.fruit_answer(most, units)))
    _rows(words_volume.volume_listing(found, units))
    _doubts(words_volume.volume_doubts(found))
    if most:
        _next("volume", data, "--fruit", most["fruit"])


def _yeasts(data: dict, units: "Units") -> None:
    _question("How does finished gravity compare across yeasts?")
    found = data["yeasts"]
    out(escape(words_yeasts.yeasts_answer(found, units)))
    _rows(_both_ends(words_yeasts.yeasts_listing(found, units)))
    _doubts(words_yeasts.yeasts_doubts(found))
    _next("yeasts", data)


def _harsh(data: dict, units: "Units") -> None:
    _question("Why do some batches taste harsh?")
    found = data["harsh"]
    out(escape(words_harsh.harsh_answer(found, units)))
    _rows(words_harsh.drivers_listing(found, units))
    _doubts(words_harsh.harsh_doubts(found))
    worst = data.get("harsh_batch")
    if worst:
        out(escape(words_harsh.batch_answer(worst, units)))
        _next("harsh", data, worst["batch"])
    else:
        _next("harsh", data)


def _question(text: str) -> None:
    out()
    out(f"[b]{text}[/b]")


def _rows(listing: Listing) -> None:
    print_listing(Listing(listing.headings, listing.rows[:ROWS_SHOWN], listing.left))


def _both_ends(listing: Listing) -> Listing:
    """Return a listing in order with its middle left out: what stands out is at either end."""
    half = ROWS_SHOWN // 2
    if len(listing.rows) <= ROWS_SHOWN:
        return listing
    gap = ("…", *[""] * (len(listing.headings) - 1))
    return Listing(
        listing.headings, [*listing.rows[: half - 1], gap, *listing.rows[-half:]], listing.left
    )


def _doubts(lines: list[str]) -> None:
    for line in lines[:DOUBTS_SHOWN]:
        out(f"Doubt. {escape(line)}")


def _next(command: str, data: dict, *arguments: str, opening: str = "Next:") -> None:
    call = shlex.join(["hedgerow", command, str(data["folder"]), *arguments])
    out(f"{opening}  {escape(call)}")
