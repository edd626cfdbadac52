"""A blind tasting, in sentences and as tables: the sheet for the tasters and the pourer's key."""

from pipeline.show.listing import Listing
from pipeline.show.measures import chance
from pipeline.show.units import NOT_KNOWN, number

_ASKED = {
    "triangle": "Two of your three glasses hold the same wine: which is the odd one?",
    "paired": "Which of your two glasses is more so?",
    "preference": "Which of your two glasses do you like better?",
}
_COUNTED = {"triangle": "right answers", "paired": "right answers", "preference": "votes for one"}


def tasting_answer(data: dict) -> str:
    """Say what the tasting showed, or what it would take to show something."""
    verdict, counted = data["verdict"], _COUNTED[data["test"]]
    if verdict is None:
        if data["hits_needed"] is None:
            return f"{data['tasters']} answers can prove nothing, whatever they are."
        return (
            f"With {data['tasters']} answers, {data['hits_needed']} or more {counted} are more "
            "than guessing."
        )
    luck = f"the chance of that by guessing alone is {chance(verdict['chance_by_guessing'])}"
    if verdict["is_apart"]:
        return f"{data['a']} and {data['b']} can be told apart: {luck}."
    return (
        f"{verdict['hits']} of {data['tasters']} do not tell {data['a']} and {data['b']} apart: "
        f"{luck}. That does not prove them alike."
    )


def question(data: dict) -> str:
    """Return what each taster is asked."""
    return _ASKED[data["test"]]


def sheet_listing(data: dict) -> Listing:
    """One row per taster, for the tasters: codes only."""
    rows = [(f"{row['taster']}", "   ".join(map(str, row["codes"])), "") for row in data["serving"]]
    return Listing(("taster", "glasses, left to right", "answer"), rows, left=("answer",))


def key_listing(data: dict) -> Listing:
    """One row per taster, for the one who pours: what is behind each code."""
    names = {"A": data["a"], "B": data["b"]}
    rows = [
        (
            f"{row['taster']}",
            "   ".join(
                f"{code} = {names[wine]}"
                for code, wine in zip(row["codes"], row["wines"], strict=True)
            ),
            NOT_KNOWN if row["odd_code"] is None else str(row["odd_code"]),
        )
        for row in data["serving"]
    ]
    return Listing(("taster", "pour", "odd one"), rows, left=("pour",))


def power_lines(data: dict) -> list[str]:
    """Say how likely the tasting is to see a difference, and how many answers it takes."""
    lines = []
    for row in data["power"]:
        needed = row["tastings_needed"]
        takes = "more answers than a house holds" if needed is None else f"{needed} answers"
        lines.append(
            f"where {row['share_who_can_tell']:.0%} of the answers come from people who can truly "
            f"tell, the chance that this tasting shows it is {chance(row['chance_to_see'])}; "
            f"for {chance(data['power_wanted'])} it takes {takes}"
        )
    return lines


def score_lines(data: dict) -> list[str]:
    """Say what the scores in the logbook tell of the two wines."""
    found = data["scores"]
    if found is None:
        return []
    gap = found["difference"]
    text = (
        f"logged scores: {data['b']} less {data['a']} is {number(gap['value'], 1)} points "
        f"({number(gap['low'], 1)} to {number(gap['high'], 1)})"
    )
    if found["is_apart"]:
        return [f"{text}: more than luck"]
    needed = found["scores_each_to_see_it"]
    more = f"; a gap of that size takes about {needed} scores of each" if needed else ""
    return [f"{text}: no evidence of a difference{more}"]
