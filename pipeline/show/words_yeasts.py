"""How dry each yeast finishes, like for like, in sentences and as tables."""

from pipeline.counts import counted
from pipeline.show.listing import Listing
from pipeline.show.measures import Estimate, chance, is_apart, measure_of, negated
from pipeline.show.units import NOT_KNOWN, Units
from pipeline.show.words_doubts import doubt_lines

BASIS = (
    "Yeasts are compared like for like: finished gravities in one and the same must, the average "
    "of your logbook; pairs over all your own musts, strong ones among them, where a yeast that "
    "stops early shows it. So no yeast is blamed for sweet recipes. Stuck batches are left out of "
    "the finished gravity. Intervals hold the mean nine times in ten."
)
CANNOT_TELL = "cannot tell these apart"


def yeasts_answer(data: dict, units: Units) -> str:
    """Answer 'How does finished gravity compare across yeasts?'."""
    ordered = driest_first(data)
    if not ordered:
        return "No batch with a known yeast has finished yet."
    gravity = measure_of("final_gravity", units)
    first, last = ordered[0], ordered[-1]
    if len(ordered) == 1:
        return (
            f"Only one yeast has finished batches: {first['yeast']}, "
            f"at {gravity.full(first['final_gravity'])}."
        )
    if not _apart(data):
        return (
            f"You have {len(ordered)} yeasts, and your batches cannot tell any two of them apart "
            f"yet: in the average must {first['yeast']} comes out at "
            f"{gravity.full(first['final_gravity'])} and {last['yeast']} at "
            f"{gravity.full(last['final_gravity'])}."
        )
    low, high = gravity.full(first["final_gravity"]), gravity.full(last["final_gravity"])
    ends = f"In the average must {first['yeast']} finishes driest, at {low}, and {last['yeast']} "
    ends += f"sweetest, at {high}."
    if not _are_ends_apart(data, first["yeast"], last["yeast"]):
        ends = f"In the average must your yeasts finish alike, from {low} ({first['yeast']}) to "
        ends += f"{high} ({last['yeast']})."
    return " ".join([ends, *_early_stop(data, units), _told_apart(pairs_of(data))])


def yeasts_title(data: dict) -> str:
    """Say above the plot of finished gravities what it shows, without numbers."""
    order = [yeast["yeast"] for yeast in driest_first(data)]
    if len(order) == 1:
        return f"{order[0]}, in the average must."
    if not _apart(data):
        return "No two yeasts can be told apart yet, in the average must."
    if not _are_ends_apart(data, order[0], order[-1]):
        return "In the average must the yeasts finish alike."
    return f"{order[0]} finishes driest, {order[-1]} sweetest, in the average must."


def _are_ends_apart(data: dict, driest: str, sweetest: str) -> bool:
    """Return whether the two can be told apart in the average must itself."""
    both = {driest, sweetest}
    return any(
        is_apart(pair["difference"])
        for pair in data["pairs"]
        if {pair["a"], pair["b"]} == both and pair["difference"]
    )


def _apart(data: dict) -> int:
    """Return how many pairs of yeasts can be told apart."""
    return sum(is_apart(pair["difference"]) for pair in pairs_of(data))


def _early_stop(data: dict, units: Units) -> list[str]:
    """Name the yeast that stands clearly less alcohol than the others, if one does."""
    known = [yeast for yeast in data["yeasts"] if yeast.get("alcohol_tolerance")]
    known.sort(key=lambda yeast: yeast["alcohol_tolerance"]["value"])
    if len(known) < 2 or known[0]["alcohol_tolerance"]["high"] >= min(
        yeast["alcohol_tolerance"]["low"] for yeast in known[1:]
    ):
        return []
    strength = measure_of("alcohol_tolerance", units).near(known[0]["alcohol_tolerance"])
    name = known[0]["yeast"]
    return [f"{name} stops at about {strength}, before the others{_sweeter(name, data, units)}."]


def _sweeter(name: str, data: dict, units: Units) -> str:
    """Say how much sweeter one yeast leaves the logbook's own musts, if than every other."""
    own = [pair for pair in pairs_of(data) if name in (pair["a"], pair["b"])]
    gaps = [pair["difference"] for pair in own if is_apart(pair["difference"])]
    if not own or len(gaps) < len(own) or any(_drier_of(pair)[0] == name for pair in own):
        return ""
    least = _positive(min(gaps, key=lambda gap: abs(gap["value"])))
    gravity = measure_of("final_gravity", units)
    return f": over your own musts it finishes at least {gravity.full(least)} higher"


def pairs_of(data: dict) -> list[dict]:
    """Return the pairs that can be spoken of, over the logbook's own musts where they are given."""
    pairs = data.get("pairs_over_logbook") or data["pairs"]
    return [pair for pair in pairs if pair["chance_a_drier"] is not None and pair["difference"]]


def _told_apart(pairs: list[dict]) -> str:
    told = [pair for pair in pairs if is_apart(pair["difference"])]
    few = any(doubt["code"] == "few_batches" for pair in told for doubt in pair["doubts"])
    caution = " Some of that rests on very few batches." if few else ""
    if len(told) == len(pairs):
        return f"Your batches tell every one apart from every other.{caution}"
    return (
        f"Of {counted(len(pairs), 'pair')} your batches tell {len(told)} apart; "
        f"between the others the difference may be nought.{caution}"
    )


def driest_first(data: dict) -> list[dict]:
    """Return the yeasts that have a finished gravity, driest first."""
    known = [yeast for yeast in data["yeasts"] if yeast["final_gravity"]]
    return sorted(known, key=lambda yeast: yeast["final_gravity"]["value"])


def pair_sentence(pair: dict, units: Units) -> str:
    """Say of two yeasts which finishes drier, how surely and by how much."""
    drier, other, probability = _drier_of(pair)
    gap = _positive(pair["difference"])
    gravity = measure_of("final_gravity", units)
    if not is_apart(pair["difference"]):
        return f"{drier} and {other}: {CANNOT_TELL} ({chance(probability)} that {drier} is drier)."
    return f"{drier} finishes drier than {other} by {gravity.full(gap)}: {chance(probability)}."


def _drier_of(pair: dict) -> tuple[str, str, float]:
    probability = pair["chance_a_drier"]
    if probability >= 0.5:
        return pair["a"], pair["b"], probability
    return pair["b"], pair["a"], 1 - probability


def _positive(difference: Estimate) -> Estimate:
    return negated(difference) if difference["value"] < 0 else difference


def _gap(gap: Estimate, units: Units) -> str:
    """Write a gap between two gravities; its lower end may be less than a hydrometer shows."""
    gravity = measure_of("final_gravity", units)
    low, high = gravity.write(gap["low"]), gravity.write(gap["high"])
    return f"up to {high}" if float(low) == 0 else f"{low} to {high}"


def yeasts_listing(data: dict, units: Units) -> Listing:
    """One row per yeast, driest first."""
    gravity = measure_of("final_gravity", units)
    gone = measure_of("real_attenuation", units)
    stops = measure_of("alcohol_tolerance", units)
    rows = [
        (
            yeast["yeast"],
            str(yeast["batches"]),
            gravity.full(yeast["final_gravity"]),
            gone.full(yeast["real_attenuation"]),
            stops.full(yeast.get("alcohol_tolerance")),
        )
        for yeast in driest_first(data)
    ]
    waiting = [
        (yeast["yeast"], str(yeast["batches"]), *([NOT_KNOWN] * 3))
        for yeast in data["yeasts"]
        if not yeast["final_gravity"]
    ]
    headings = ("yeast", "batches", "finished gravity", "sugar gone", "stops at")
    return Listing(headings, rows + waiting)


def pairs_listing(data: dict, units: Units) -> Listing:
    """One row per pair of yeasts, the surest difference first."""
    rows = []
    for pair in sorted(pairs_of(data), key=lambda pair: -abs(pair["chance_a_drier"] - 0.5)):
        drier, other, probability = _drier_of(pair)
        told = (
            _gap(_positive(pair["difference"]), units)
            if is_apart(pair["difference"])
            else CANNOT_TELL
        )
        rows.append((drier, other, chance(probability), told))
    return Listing(("drier", "than", "chances", "by"), rows, left=("than",))


def yeasts_doubts(data: dict) -> list[str]:
    """Return what stands against the answer, pair by pair."""
    return doubt_lines(pairs_of(data), lambda pair: f"{pair['a']} against {pair['b']}")
