"""What can hurt somebody who works through a sheet, said at the step where it happens."""

from typing import Any

from pipeline.advice.cautions import steps_of_making
from pipeline.advice.cautions.caution import Caution
from pipeline.advice.cautions.circumstances import Circumstances
from pipeline.reference import fruits


def circumstances_of_sheet(
    rows: list[dict], whole: dict[str, Any], steps: list[Any]
) -> Circumstances:
    """Return what somebody will handle who makes this recipe.

    Parameters
    ----------
    rows : list of dict
        The recipe's lines (`sheet_scale.written_lines`).
    whole : dict
        What is said of the whole recipe.
    steps : list of Step
        The plan.
    """
    mine = [row for row in rows if row["kind"] == "fruit"]
    names = {str(row["ingredient_key"] or row["ingredient"]) for row in mine}
    stones = set(fruits().filter("is_stone_fruit")["fruit"])
    is_sweet = bool(whole["sweeten_to_g_l"])
    # Stabilising is on every plan, so what it handles is spoken of.
    handled = {"sulphite"} | ({"sorbate"} if is_sweet else set())
    return Circumstances(
        fruits=names,
        has_stone_fruit=bool(names & stones),
        kinds={row["kind"] for row in rows} | handled,
        ripeness={row["ripeness"] for row in mine if row["ripeness"]},
        sugar_g_l=whole["sweeten_to_g_l"],
        # What is told of making any wine of these fruits, and of what this plan goes on to.
        steps={"bottle", "jar", "drink", "titrate"}
        | (steps_of_making(names, None) - {"pulp"})
        | ({"pulp"} if any(step.code == "stir" for step in steps) else set()),
    )


def with_cautions(
    steps: list[dict[str, Any]], rows: list[dict], due: list[Caution]
) -> list[dict[str, Any]]:
    """Return the steps of a plan, each with the codes of the cautions to be read there.

    Parameters
    ----------
    steps : list of dict
        The plan, as `Step.as_dict` gives it.
    rows : list of dict
        The recipe's lines.
    due : list of Caution
        Each stands at the first step that it is for; what concerns no step stands at none.
    """
    kinds = {row["line"]: row["kind"] for row in rows}
    places = [{step["code"], *(kinds[line] for line in step["lines"])} for step in steps]
    codes: list[list[str]] = [[] for _ in steps]
    for caution in due:
        for word in caution.at:
            at = next((number for number, names in enumerate(places) if word in names), None)
            if at is not None:
                codes[at].append(caution.trigger)
                break
    return [{**step, "cautions": found} for step, found in zip(steps, codes, strict=True)]
