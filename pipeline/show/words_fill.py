"""How to fill a vessel: what to pour, what comes of it, and how sure that is."""

from pipeline.show.listing import Listing
from pipeline.show.measures import chance, measure_of
from pipeline.show.units import Units
from pipeline.show.words_changes import change_phrase
from pipeline.show.words_recipes import outcomes_listing

# What is kept, in the words of the choice.
KEPT = {
    "strength": "the fruit as it is, and the strength: water and sugar change",
    "fruit": "the fruit and the sugar as they are: only the water changes",
    "proportions": "fruit, sugar and all else to each litre: everything changes together",
}
_CHOICES = {
    "strength": "fruit and strength (water and sugar change)",
    "fruit": "fruit and sugar (water changes)",
    "proportions": "all to each litre (everything changes)",
}
_PACKETS = "Packets and tablets stay as they are."


def kept_choice(keep: str) -> str:
    """Return a way of filling as a choice on the page."""
    return _CHOICES[keep]


def fill_answer(fill: dict, units: Units) -> str:
    """Say what to change, and how sure the vessel then is to be filled.

    Parameters
    ----------
    fill : dict
        The answer of `pipeline.advice.fill`.
    units : Units
        The logbook's.
    """
    if fill["refused"]:
        return f"Cannot say how to fill the vessel. {fill['refused']}"
    wanted = f"{units.volume(fill['target_l'])} or more of {fill['recipe']}"
    if not fill["changes"]:
        return f"As written it gives {wanted} with a chance of {chance(fill['chance'])}."
    changes = "; ".join(change_phrase(change) for change in fill["changes"])
    if fill["chance_now"] >= fill["chance_asked"]:
        return (
            f"As written it gives {wanted} with a chance of {chance(fill['chance_now'])}, and more "
            f"than it takes. Enough, with a chance of {chance(fill['chance'])}: {changes}."
        )
    return (
        f"To have {wanted}: {changes}. The chance of that is then {chance(fill['chance'])}; as "
        f"written it is {chance(fill['chance_now'])}."
    )


def fill_lines(fill: dict, units: Units) -> list[str]:
    """Say what is kept, what comes of it, and the vessel it takes."""
    if fill["refused"]:
        return []
    after = fill["after"]
    parts = [
        measure_of(key, units).full(after[key])
        for key in ("finished_volume", "alcohol")
        if after.get(key)
    ]
    found = [f"Kept: {KEPT[fill['keep']]}.", f"It then gives {' at '.join(parts)}."]
    if _is_hungry(after):
        nitrogen = measure_of("nitrogen", units)
        found.append(
            f"The nutrient is thinned too: {nitrogen.near(after['nitrogen'])} of nitrogen where "
            f"{nitrogen.near(after['nitrogen_needed'])} are needed. Add what is short."
        )
    if fill["keep"] == "proportions":
        found.append(_PACKETS)
    if fill["vessel_l"] is not None:
        found.append(f"It takes a vessel of {units.volume(fill['vessel_l'])}, with room for foam.")
    return found


def _is_hungry(recipe: dict) -> bool:
    given, needed = recipe.get("nitrogen"), recipe.get("nitrogen_needed")
    return bool(given and needed and given["value"] < needed["value"])


def filled_listing(recipe: dict, fill: dict, units: Units) -> Listing:
    """One row per outcome: as planned, and filled."""
    return outcomes_listing([recipe, fill["after"]], units, names=["as planned", "filled"])
