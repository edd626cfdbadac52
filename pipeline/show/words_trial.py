"""A split batch in sentences and as tables: what to try, how, and what earlier ones settled."""

from pipeline.counts import counted
from pipeline.show import words_tasting
from pipeline.show.listing import Listing
from pipeline.show.measures import capital, joined, measure_of
from pipeline.show.units import Units, number
from pipeline.show.words_doubts import doubt_lines, sentence
from pipeline.show.words_harsh import factor_name

_SIDES = {"harshness": ("softer", "harsher"), "score": ("better", "worse")}
_TESTED = {"paired": "asked which of two is more so", "triangle": "asked for the odd one of three"}
_ASKED = {
    "harshness": "Which of your two glasses is harsher? Mark both: astringency, bitterness, "
    "warmth, and a score.",
    "score": "Which of your two glasses do you like better? Mark a score for both.",
}
_ABOUT = {
    "harshness": "This asks about harshness alone. Mark the score on the same sheets, and measure "
    "what each vessel gives: liking and volume then have their pair as well.",
    "score": "This asks about the score alone: no glass of yours is marked for harshness yet. Mark "
    "astringency, bitterness and warmth too, and measure what each vessel gives.",
}


def trial_answer(data: dict) -> str:
    """Say in one sentence what to try, or why nothing can be said."""
    if not data["arms"]:
        return data["why"]
    a, b = (arm["name"].partition(": ")[2] for arm in data["arms"])
    if data["split"] == "glass":
        return f"Of the finished {data['recipe']}, set a glass with {b} beside one with {a}."
    return f"Next time you make {data['recipe']}, split it in two: A with {a}, B with {b}."


def why_line(data: dict) -> str:
    """Return why this split and no other; nothing where there is none."""
    return data["why"] if data["arms"] else ""


def considered_listing(data: dict, units: Units) -> Listing:
    """One row per change that may be for the better: what is open, and what a trial leaves open."""
    points = measure_of("points", units).difference()
    rows = [
        (
            f"{one['labels'][1]}, not {one['labels'][0]}",
            points.span(one["effect_mean"]),
            number(one["interval_width_now"], 2),
            number(one["interval_width_after"], 2),
        )
        for one in data["considered"]
        if one["may_help"] or one["factor"] == data["factor"]
    ]
    return Listing(("what to try", data["purpose"], "open now", "after a trial"), rows)


def others_line(data: dict) -> str:
    """Name what could be tried but is hardly for the better; nothing if there is none."""
    names = [
        one["labels"][1]
        for one in data["considered"]
        if not one["may_help"] and one["factor"] != data["factor"]
    ]
    good, _ = _SIDES[data["purpose"]]
    return (
        f"Hardly {good} by enough to mind, so not worth a trial: {joined(names)}." if names else ""
    )


def run_lines(data: dict) -> list[str]:
    """Return how to run it, how to write it down, and where the blind sheet is printed."""
    if not data["arms"]:
        return []
    sheet = f"Print the blind sheet and its key: hedgerow trial LOGBOOK '{data['recipe']}'."
    return [*data["how"], data["log_as"]["text"], about(data), sheet]


def tasting_lines(data: dict) -> list[str]:
    """Say how many tastings and how many pairs it takes to see what somebody would mind."""
    told = data["tastings"]
    if told is None:
        return []
    useful = f"{told['useful_difference']:g} points"
    lines = [_enough(told, useful, is_glass=data["split"] == "glass"), *_tests(told, useful)]
    if data["split"] != "glass":
        lines.append(
            f"batches of yours made alike still differ by about {told['vessel_sd']:.1f} points, "
            f"and a taster's marks of one wine by {told['glass_sd']:.1f}, so another pair tells "
            "more than another evening with the same two"
        )
    return [sentence(line) for line in lines]


def _enough(told: dict, useful: str, *, is_glass: bool) -> str:
    """Say how often to taste, or how often to make the pair, to know it within what matters."""
    who = counted(told["tasters"], "taster")
    if told["evenings_needed"] is not None:
        many = counted(told["evenings_needed"], "evening")
        return f"to know the difference to within {useful}: {many}, {who} marking both each time"
    if is_glass or told["pairs_needed"] is None:
        return f"{who} cannot find the difference to within {useful}, however often they meet"
    pairs = counted(told["pairs_needed"], "such pair")
    return (
        f"to know the difference to within {useful}: {pairs}, {who} "
        "marking both of each; more evenings with one pair are not enough"
    )


def _tests(told: dict, useful: str) -> list[str]:
    lines = []
    for test in told["tests"]:
        needed, hits = test["tastings_needed"], test["hits_needed"]
        takes = "more answers than a house holds"
        if needed is not None:
            takes = f"about {needed} answers; {hits} of {needed} right are more than guessing"
        lines.append(f"{_TESTED[test['test']]}, a difference of {useful} takes {takes}")
    return lines


def key_listing(data: dict) -> Listing:
    """One row per taster, for the one who pours."""
    key = words_tasting.key_listing(data["sheet"])
    # There is no odd one among two.
    return Listing(key.headings[:2], [row[:2] for row in key.rows], key.left)


def question(data: dict) -> str:
    """Return what each taster is asked."""
    return _ASKED[data["purpose"]]


def about(data: dict) -> str:
    """Say what the trial is about, and what else the two arms will tell."""
    return _ABOUT[data["purpose"]]


def together_lines(data: dict) -> list[str]:
    """Name what the logbook cannot tell apart, and the split that would."""
    lines = []
    for group in data["confounded"]:
        names = capital(joined([factor_name(name) for name in group["factors"]]))
        start = f"{names} changed together in your batches: only their sum is known."
        if group["split_on"] is None:
            lines.append(f"{start} No split of this recipe tells them apart.")
        else:
            a, b = (arm["name"].partition(": ")[2] for arm in group["arms"])
            lines.append(f"{start} A split with {a} in one and {b} in the other tells them apart.")
    return lines


def settled_lines(data: dict, units: Units) -> list[str]:
    """Say what each logged pair settled, or what it still takes."""
    return [units.told(sentence(_settled(one, units))) for one in data["settled"]]


def _settled(one: dict, units: Units) -> str:
    ids = f"Of {joined([_ids(pair) for pair in one['pairs']])}"
    if one["after_mean"] is None:
        return f"{ids}: {one['why']}"
    a, b = one["labels"]
    points = measure_of("points", units).difference()
    found = (
        f"{ids}: tasters found {b} {points.full(one['difference_mean'])} beside {a} "
        f"({counted(one['tastings'], 'tasting')})"
    )
    moved = (
        f"what {b} does instead of {a} was known as {points.span(one['before_mean'])} before, "
        f"as {points.span(one['after_mean'])} now"
    )
    return f"{found}; {moved}. {_verdict(one)}"


def _ids(pair: list[str]) -> str:
    return pair[0] if pair[0] == pair[1] else f"{pair[0]} and {pair[1]}"


def _verdict(one: dict) -> str:
    good, bad = _SIDES[one["purpose"]]
    b = one["labels"][1]
    if one["verdict"] == "alike":
        return "Settled: it makes no difference that anybody would mind"
    if one["is_settled"]:
        return f"Settled: {b} makes it {good if one['verdict'] == 'better' else bad}"
    if one["more_tastings"] is not None:
        more = counted(one["more_tastings"], "tasting")
        return f"Not settled yet: {more} more would do, if it stays as it stands"
    if one["more_pairs"] is not None:
        more = counted(one["more_pairs"], "pair")
        return f"Not settled yet, and no more tasting of these settles it: make {more} more"
    return "Not settled, and so small that neither tasting nor another few pairs would settle it"


def trial_doubts(data: dict) -> list[str]:
    """Return what stands against the choice."""
    return doubt_lines([data])
