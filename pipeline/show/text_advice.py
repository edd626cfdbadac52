"""What `compare`, `predict` and `suggest` print."""

from typing import TYPE_CHECKING

from pipeline.show import words_compare, words_fill, words_recipes
from pipeline.show.console import escape, out
from pipeline.show.listing import print_listing
from pipeline.show.text_bench import say_all
from pipeline.show.text_models import say
from pipeline.show.words_doubts import doubt_lines
from pipeline.show.words_sticking import sticking_lines

if TYPE_CHECKING:
    from pipeline.show.answer import Answer
    from pipeline.show.units import Units


def compare(answer: "Answer") -> None:
    """Print recipes or batches side by side, then what differs and whether it matters."""
    out(f"[b]{escape(words_compare.compare_answer(answer.data, answer.units))}[/b]")
    print_listing(words_compare.sides_listing(answer.data, answer.units))
    print_listing(words_compare.differences_listing(answer.data, answer.units))
    for line in (
        *words_compare.weighed_lines(answer.data),
        *words_compare.tasted_lines(answer.data, answer.units),
    ):
        out(escape(line))
    say_all("Take care", words_recipes.recipe_cautions([answer.data]))
    say_all("Doubts", doubt_lines([answer.data]))


def predict(answer: "Answer") -> None:
    """Print what each recipe will give, with what to beware of."""
    recipes = answer.data["recipes"]
    for recipe in recipes:
        out(f"[b]{escape(words_recipes.recipe_answer(recipe, answer.units))}[/b]")
    for line in sticking_lines(recipes):
        out(escape(line))
    print_listing(words_recipes.outcomes_listing(recipes, answer.units))
    out(escape(words_recipes.BASIS))
    out()
    filled = [recipe for recipe in recipes if recipe.get("fill")]
    for recipe in filled:
        _fill(recipe, answer.units)
    changed = [recipe["fill"]["after"] for recipe in filled if recipe["fill"].get("after")]
    say_all("Take care", words_recipes.recipe_cautions([*recipes, *changed]))
    say_all("Doubts", words_recipes.recipe_doubts([*recipes, *changed]))


def _fill(recipe: dict, units: "Units") -> None:
    """Print how to fill the vessel with one recipe."""
    fill = recipe["fill"]
    out(f"[b]{escape(words_fill.fill_answer(fill, units))}[/b]")
    for line in words_fill.fill_lines(fill, units):
        out(escape(line))
    if fill.get("after"):
        print_listing(words_fill.filled_listing(recipe, fill, units))


def suggest(answer: "Answer") -> None:
    """Print what to change, each change's own effect, and what was left alone."""
    data = answer.data
    out(f"[b]{escape(words_recipes.suggest_answer(data, answer.units))}[/b]")
    if words_recipes.chance_line(data):
        out(escape(words_recipes.chance_line(data)))
    print_listing(words_recipes.changes_listing(data, answer.units))
    print_listing(words_recipes.before_after_listing(data, answer.units))
    say_all("Take care", words_recipes.recipe_cautions([data, data["after"]]))
    say_all("Held to", words_recipes.limit_lines(data, answer.units))
    say("Left as it is", words_recipes.unchanged_lines(data))
    say_all("Doubts", doubt_lines([data["after"]]))
