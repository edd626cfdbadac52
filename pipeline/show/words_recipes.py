"""What planned recipes will give and what would improve them, in sentences and as tables."""

from pipeline.show.listing import Listing
from pipeline.show.measures import Estimate, joined, measure_of
from pipeline.show.units import NOT_KNOWN, Units
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
    "harshness",
    "score",
    "cost_per_bottle",
)


# What concerns no single line, as an instruction.
_WHOLE_RECIPE = {
    "sweeten_to": "sweeten the finished wine to {to}",
    "ferment_temperature": "ferment at {to}",
}


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
    changes = joined([change_phrase(change) for change in data["changes"]])
    gains = joined(
        [
            f"{measure_of(key, units).name} goes from {before} to {after}"
            for key, before, after in _moved(data, units)
        ]
    )
    return f"In {data['recipe']}, {changes}" + (f": {gains}." if gains else ".")


def _moved(data: dict, units: Units) -> list[tuple[str, str, str]]:
    """Return the outcomes that the changes move, as they read before and after."""
    touched = {key for change in data["changes"] for key in change["effect"]}
    both = [
        (key, *(measure_of(key, units).near(data[side].get(key)) for side in ("before", "after")))
        for key in OUTCOMES
        if key in touched
    ]
    return [(key, before, after) for key, before, after in both if before != after]


def change_phrase(change: dict) -> str:
    """Say one change as an instruction."""
    if change["kind"] == "recipe":
        return _WHOLE_RECIPE[change["field"]].format(**change)
    if change["from"] in (None, ""):
        return f"add {_thing(change)} {change['to']}".replace("  ", " ")
    if change["to"] in (None, ""):
        return f"leave out {_thing(change)} ({change['from']})"
    field = change["field"].replace("_", " ")
    if field == "amount":
        what = _thing(change)
    elif field in (change["kind"], ""):
        what = f"the {field}"
    else:
        what = f"the {field} of {_thing(change)}".removesuffix(" of ")
    return f"change {what} from {change['from']} to {change['to']}"


def _thing(change: dict) -> str:
    return change["ingredient"] or (change["kind"] or "").replace("_", " ")


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
    return Listing(("change", "in recipes.csv", "effect", "why"), rows, left=("effect", "why"))


def change_lines(data: dict, units: Units) -> list[str]:
    """Return each change with its place, effect and reason as sentences, for a narrow page."""
    return [
        f"{sentence(change_phrase(change))} {_where(change)}: "
        f"{effect_text(change['effect'], units)}. {sentence(change['why'])}"
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
    return [sentence(f"{factor_name(item['what'])}: {item['why']}") for item in data["not_changed"]]


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
