"""What planned recipes will give and what would improve them, in sentences and as tables."""

from pipeline.show.listing import Listing
from pipeline.show.measures import Estimate, capital, chance, joined, measure_of
from pipeline.show.units import NOT_KNOWN, Units
from pipeline.show.words_changes import change_phrase
from pipeline.show.words_doubts import caution_lines, doubt_lines, sentence
from pipeline.show.words_harsh import factor_name

# As a maker would ask: how much, how strong and dry, how it tastes, what it costs.
OUTCOMES = (
    "finished_volume",
    "finished_fraction",
    "bottles",
    "original_gravity",
    "final_gravity",
    "alcohol",
    "residual_sugar",
    "acidity",
    "nitrogen",
    "nitrogen_needed",
    "chance_stuck",
    "harshness",
    "score",
    "cost_per_bottle",
)

FELT_SCORE = 0.05  # [points] a smaller fall goes unsaid

BASIS = (
    "In brackets: what nine in ten such batches will show. One batch, made once and not topped up; "
    "harshness and score as the mean of one glass from each of your tasters."
)


def recipe_answer(recipe: dict, units: Units) -> str:
    """Say in one sentence what one recipe will give."""
    parts = [
        f"{opening} {measure_of(key, units).full(recipe[key])}"
        for key, opening in (
            ("finished_volume", "give"),
            ("final_gravity", "finish at"),
            ("alcohol", "reach"),
            ("harshness", "taste harsh to"),
        )
        if recipe.get(key)
    ]
    if not parts:
        return f"Too much of {recipe['recipe']} is unknown to say what it will give."
    return f"{recipe['recipe']} should {joined(parts)}."


def planned_listing(recipes: list[dict], units: Units) -> Listing:
    """One row per recipe: how much, how dry, how strong, how it tastes."""
    keys = ("finished_volume", "final_gravity", "alcohol", "harshness", "score")
    rows = [
        (recipe["recipe"], *(measure_of(key, units).full(recipe.get(key)) for key in keys))
        for recipe in recipes
    ]
    return Listing(("recipe", *(measure_of(key, units).name for key in keys)), rows)


def outcomes_listing(recipes: list[dict], units: Units, names: list[str] | None = None) -> Listing:
    """One row per outcome, one column per recipe."""
    rows = [
        (measure_of(key, units).name, *(measure_of(key, units).full(r.get(key)) for r in recipes))
        for key in OUTCOMES
        if any(recipe.get(key) for recipe in recipes)
    ]
    return Listing(("", *(names or [recipe["recipe"] for recipe in recipes])), rows)


def suggest_answer(data: dict, units: Units) -> str:
    """Say in one sentence what to change, and what that brings."""
    if not data["changes"]:
        return f"Nothing you could change makes {data['recipe']} clearly better."
    changes = "; ".join(change_phrase(change) for change in data["changes"])
    gains = joined(
        [
            f"{measure_of(key, units).name} goes from {before} to {after}"
            for key, before, after in _moved(data, units)
        ]
    )
    then = f" Then {gains}." if gains else ""
    return f"In {data['recipe']}: {changes}.{then}{_cost_of_taste(data, units)}"


def _cost_of_taste(data: dict, units: Units) -> str:
    """Say by how much the score falls for what matters more; empty where nobody would notice."""
    before, after = (data[side].get("score") for side in ("before", "after"))
    if not before or not after or before["value"] - after["value"] < FELT_SCORE:
        return ""
    fall = measure_of("score", units).difference().write(after["value"] - before["value"])
    return f" It costs some taste: score {fall}."


def _moved(data: dict, units: Units) -> list[tuple[str, str, str]]:
    """Return the outcomes that the changes move, as they read before and after."""
    touched = {key for change in data["changes"] for key in change["effect"]}
    both = [
        (key, *(measure_of(key, units).near(data[side].get(key)) for side in ("before", "after")))
        for key in OUTCOMES
        if key in touched
    ]
    return [(key, before, after) for key, before, after in both if before != after]


def changes_listing(data: dict, units: Units) -> Listing:
    """One row per change: where, from, to, its own effect, and why."""
    rows = [
        (
            change_phrase(change),
            "a new line" if change["line"] is None else f"line {change['line']}",
            effect_text(change["effect"], units),
            sentence(change["why"]),
        )
        for change in data["changes"]
    ]
    return Listing(
        ("change", "in recipes.csv", "by itself", "why"), rows, left=("by itself", "why")
    )


def change_lines(data: dict, units: Units) -> list[str]:
    """Return each change with its place, effect and reason as sentences, for a narrow page."""
    return [
        f"{sentence(change_phrase(change))} {_where(change)}: "
        f"by itself {effect_text(change['effect'], units)}. {sentence(change['why'])}"
        for change in data["changes"]
    ]


def _where(change: dict) -> str:
    if change["line"] is None:
        return "A new line in recipes.csv"
    return f"Line {change['line']} of recipes.csv"


def effect_text(effect: dict[str, Estimate], units: Units) -> str:
    """Write what one change does to each outcome, signed."""
    texts = [
        f"{measure_of(key, units).name} {measure_of(key, units).difference().full(estimate)}"
        for key, estimate in sorted(effect.items(), key=_place)
        if estimate
    ]
    return "; ".join(texts) or NOT_KNOWN


def _place(item: tuple[str, Estimate]) -> int:
    return OUTCOMES.index(item[0]) if item[0] in OUTCOMES else len(OUTCOMES)


def unchanged_lines(data: dict) -> list[str]:
    """Say what was looked at and left alone, and why."""
    return [
        sentence(
            f"{change_phrase(item['change']) if item.get('change') else factor_name(item['what'])}"
            f": {item['why']}"
        )
        for item in data["not_changed"]
    ]


def limit_lines(data: dict, units: Units) -> list[str]:
    """Say what the changes were held to, what cannot be kept to, and how to ask for something else.

    Parameters
    ----------
    data : dict
        The answer of `suggest`.
    units : Units
        The logbook's.
    """
    found = [_limit(limit, units) for limit in data.get("limits", ())]
    if data.get("kept"):
        found.append(f"Not to be changed: {joined(data['kept'])}.")
    vessel = data.get("vessel_l")
    if vessel is not None and data["changes"]:
        found.append(f"It takes a vessel of {units.volume(vessel)}, fruit and foam included.")
    if found:
        found.append("Set others with --strength, --cost-per-bottle, --full and --keep.")
    return found


_BY_DEFAULT = {
    "alcohol": "about as you planned it",
    "finished_fraction": "full, or no emptier than you planned it",
}


def _limit(limit: dict, units: Units) -> str:
    measure = measure_of(limit["measure"], units)
    low, high = (limit[end] for end in ("low", "high"))
    ends = {(True, True): "{0} to {1}", (True, False): "at least {0}", (False, True): "at most {1}"}
    told = ends[low is not None, high is not None].format(measure.write(low), measure.write(high))
    whose = "as you asked" if limit["is_asked"] else _BY_DEFAULT[limit["measure"]]
    if limit["is_met"]:
        return f"{capital(measure.name)}: {told}, {whose}."
    return (
        f"{capital(measure.name)}: {told}, {whose}; not met, it is {measure.write(limit['value'])}."
    )


def chance_line(data: dict) -> str:
    """Say how likely the changes are for the better; empty where none is suggested."""
    found = data.get("chance_better")
    if found is None:
        return ""
    return f"The chance that this is for the better, by your own batches: {chance(found)}."


def recipe_doubts(recipes: list[dict]) -> list[str]:
    """Return what stands against each prediction."""
    return doubt_lines(recipes, lambda recipe: recipe["recipe"])


def recipe_cautions(recipes: list[dict]) -> list[str]:
    """Return what to beware of, once each."""
    return caution_lines(caution for recipe in recipes for caution in recipe.get("cautions", ()))


def before_after_listing(data: dict, units: Units) -> Listing:
    """One row per outcome: as planned, and with all changes made."""
    sides = [data["before"], data["after"]]
    return outcomes_listing(sides, units, names=["as planned", "changed"])
