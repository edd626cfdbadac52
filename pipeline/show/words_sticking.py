"""How likely a must is to stick, as one would say it across the table, and what to do about it."""

from pipeline.show.measures import capital

_SELDOM, _MOSTLY = 0.01, 0.6
_NAMED = 6  # recipes named, the likeliest first, before the rest is counted
_ONE_IN = (2, 3, 4, 5, 6, 8, 10, 12, 15, 20, 25, 30, 40, 50, 70, 100)
# Factor: what the recipe has of it, and what would help. The gravest alone is said.
_HELP = {
    "nitrogen_shortfall": "It is shorter of nitrogen than your usual must: fed as well as that,",
    "sugar_excess": "It holds more sugar than the yeast will stand: with as much as in your usual "
    "must, or a yeast that stands more,",
    "heat_or_cold": "It is to ferment too cold or too warm: at your usual warmth,",
    "yeast": "This yeast has stuck more often than your others: with another,",
}


def one_in(chance: float) -> str:
    """Say how many of such musts do: ``about 1 in 20``."""
    if chance > _MOSTLY:
        return "most"
    if chance < _SELDOM:
        return "fewer than 1 in 100"
    return f"about 1 in {min(_ONE_IN, key=lambda count: abs(count * chance - 1))}"


def sticking_lines(recipes: list[dict]) -> list[str]:
    """Say it of every recipe of which it is known, by name where there are several."""
    if len(recipes) == 1:
        return [line for line in map(sticking_line, recipes) if line]
    known = [recipe for recipe in recipes if recipe.get("chance_stuck")]
    shown = known
    if len(known) > _NAMED:
        shown = sorted(known, key=lambda recipe: -recipe["chance_stuck"]["value"])[:_NAMED]
    told = [(recipe["recipe"], sticking_line(recipe)) for recipe in shown]
    lines = [f"{capital(name)}: {line[:1].lower()}{line[1:]}" for name, line in told]
    left = len(known) - len(shown)
    if left:
        lines.append(f"The {'other is' if left == 1 else f'{left} others are'} less likely to.")
    return lines


def sticking_line(recipe: dict) -> str:
    """Say how likely a recipe is to stick and the one thing to do; empty where it is unknown.

    Parameters
    ----------
    recipe : dict
        As `hedgerow predict` has it.
    """
    found = recipe.get("chance_stuck")
    if not found:
        return ""
    told = one_in(found["value"])
    text = f"{capital(told)} such musts stick before they have finished."
    if not recipe["stuck_reasons"]:
        return text
    worst = recipe["stuck_reasons"][0]
    return f"{text} {_HELP[worst['factor']]} {one_in(worst['chance_without'])} would."
