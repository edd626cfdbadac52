"""The cautions: what can hurt someone, when it is said, and whom it defers to.

One table for the whole program. Each caution is shown wherever its trigger occurs: a command, a
page, a recipe sheet, the report.
"""

from dataclasses import dataclass


@dataclass(frozen=True)
class Caution:
    """One thing that can hurt somebody.

    Parameters
    ----------
    trigger : str
        Name of what sets it off.
    text : str
        What can happen and what to do, in a maker's words.
    defers_to : str
        Who knows better and has the last word.
    """

    trigger: str
    text: str
    defers_to: str

    def as_text(self) -> str:
        """Return the caution as it is shown."""
        return f"{self.text} {self.defers_to}"


CAUTIONS = {
    caution.trigger: caution
    for caution in (
        Caution(
            "bottle_pressure",
            "Sugar left in a bottle with live yeast can burst it. Bottle only when the gravity has "
            "not moved for weeks, and stabilise a sweet wine first; still-wine bottles, swing-tops "
            "and jars are not made for pressure.",
            "If in doubt, keep it under an airlock.",
        ),
        Caution(
            "sulphite",
            "Sulphite powder and its fumes sting eyes and lungs; weigh it with air about you. It "
            "can bring on asthma: tell guests, and put it on the label.",
            "Follow the packet and your local limits.",
        ),
        Caution(
            "sorbate",
            "Sorbate does not stop a working ferment, and without sulphite bacteria turn it into a "
            "geranium smell.",
            "Follow the packet and your local limits.",
        ),
        Caution(
            "raw_elder",
            "Raw elderberries, and elder stalks and leaves in any form, can make people sick. Use "
            "ripe berries off the stalk, and heat them.",
            "Ask your local food-safety office if unsure.",
        ),
        Caution(
            "stone_kernels",
            "The kernels in the stones of plums, cherries, peaches and their kin give off cyanide "
            "when crushed. Take the stones out or leave them whole; never mill them.",
            "Follow your local food-safety office.",
        ),
        Caution(
            "rhubarb_leaves",
            "Rhubarb leaves are poisonous: stalks only.",
            "If a leaf was eaten, ask a poison line.",
        ),
        Caution(
            "lookalike_plants",
            "Some wild plants look like this one and are deadly (hemlock beside elderflower and "
            "parsnip, ragwort beside dandelion). Pick only what you know for certain.",
            "Have a local expert look at it.",
        ),
        Caution(
            "hot_liquid",
            "Scalding must splashes and cracks glass: pour it into a bucket meant for heat, never "
            "into a glass jar.",
            "Cool a burn under running water and see a doctor if it is large.",
        ),
        Caution(
            "carbon_dioxide",
            "A ferment gives off carbon dioxide, which gathers low in a closed room and cannot be "
            "smelt. Keep a window open.",
            "Leave the room at once if you feel dizzy.",
        ),
        Caution(
            "low_acid",
            "A must this low in acid lets harmful bacteria live. Acidify it below pH 4.0 before it "
            "stands.",
            "Measure; do not rely on taste.",
        ),
        Caution(
            "strong_wine",
            "Strength worked out at home may be off by 0.7 % or more; do not rely on it for "
            "driving, medicine or the law.",
            "Only a laboratory can certify it.",
        ),
        Caution(
            "home_production",
            "Home wine is for your own table and not for sale in most places, and the yearly "
            "quantity may be limited. Distilling is another matter and needs a licence.",
            "Check your local rules.",
        ),
    )
}

_LOOKALIKES = {"elderflower", "parsnip", "dandelion"}


def cautions_for_must(
    fruits: set[str],
    *,
    has_stone_fruit: bool,
    extraction: str | None,
    kinds: set[str],
) -> list[Caution]:
    """Return what must be said beside a recipe or batch, the gravest first.

    Parameters
    ----------
    fruits : set of str
        Canonical names of what goes in.
    has_stone_fruit : bool
        Whether any of it has a stone.
    extraction : str or None
        As in batches.csv; None is not known.
    kinds : set of str
        Kinds of addition (additions.csv).
    """
    is_hot = extraction in ("hot", "steamed", "simmered")
    triggers = {
        "raw_elder": any("elder" in fruit for fruit in fruits) and not is_hot,
        "stone_kernels": has_stone_fruit,
        "rhubarb_leaves": "rhubarb" in fruits,
        "lookalike_plants": bool(fruits & _LOOKALIKES),
        "hot_liquid": is_hot,
        "sulphite": "sulphite" in kinds,
        "sorbate": "sorbate" in kinds,
        "carbon_dioxide": True,
    }
    return [CAUTIONS[name] for name, is_due in triggers.items() if is_due]
