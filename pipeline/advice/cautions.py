"""The cautions: what can hurt someone, when it is said, and whom it defers to.

One table for the whole program, the gravest first. Each caution is shown wherever its trigger
occurs: a command, a page, a recipe sheet, the report. What a command is about is put down as
`Circumstances`; every caution of `CAUTIONS` whose trigger they meet is due.
"""

from collections.abc import Callable, Collection
from dataclasses import dataclass

from pipeline.advice.circumstances import Circumstances
from pipeline.enology.carbonation import SAFE_SUGAR_G_L

_HOT = ("hot", "steamed", "simmered")
_LOOKALIKES = {"elderflower", "parsnip", "dandelion", "gorse flower", "meadowsweet", "nettle"}
_SAFE_PH = 4.0  # acidify a must below it before it stands; common practice, no source
_SMELLS = {"sulphury"}
_STRONGEST_FERMENT = 18.0  # [% vol] few yeasts pass it; common practice, no source


Trigger = Callable[[Circumstances], bool]


@dataclass(frozen=True)
class Caution:
    """One thing that can hurt somebody.

    Parameters
    ----------
    trigger : str
        Name of what sets it off.
    is_due : callable
        Tells from the circumstances whether it is set off.
    text : str
        What can happen and what to do, in a maker's words.
    defers_to : str
        Who knows better and has the last word.
    """

    trigger: str
    is_due: Trigger
    text: str
    defers_to: str

    def as_text(self) -> str:
        """Return the caution as it is shown."""
        return f"{self.text} {self.defers_to}"

    def as_dict(self) -> dict[str, str]:
        """Return the caution as commands print it; `text` is complete by itself."""
        return {"code": self.trigger, "text": self.as_text(), "defers_to": self.defers_to}


_ASK = "Ask your local food-safety office if unsure."
_LIMITS = "Follow the packet and your local limits."

CAUTIONS = {
    caution.trigger: caution
    for caution in (
        Caution(
            "lookalike_plants",
            lambda now: bool(_LOOKALIKES & set(now.fruits)),
            "Some wild plants look like this one and are deadly or poisonous (hemlock beside "
            "elderflower and parsnip, ragwort beside dandelion, laburnum beside gorse). Pick only "
            "what you know for certain.",
            "Have a local expert look at it.",
        ),
        Caution(
            "raw_elder",
            lambda now: (
                any("elder" in fruit for fruit in now.fruits) and now.extraction not in _HOT
            ),
            "Raw elderberries, and elder stalks and leaves in any form, can make people sick. Use "
            "ripe berries off the stalk, and heat them.",
            _ASK,
        ),
        Caution(
            "stone_kernels",
            lambda now: now.has_stone_fruit,
            "The kernels in the stones of plums, cherries, peaches and their kin give off cyanide "
            "when crushed. Take the stones out or leave them whole; never mill them.",
            "Follow your local food-safety office.",
        ),
        Caution(
            "rhubarb_leaves",
            lambda now: "rhubarb" in now.fruits,
            "Rhubarb leaves are poisonous: stalks only.",
            "If a leaf was eaten, ask a poison line.",
        ),
        Caution(
            "mould",
            lambda now: "over" in now.ripeness or "pulp" in now.steps,
            "Mould makes poisons that fermenting does not remove: throw mouldy and rotten fruit "
            "away, push floating fruit under every day, and pour the batch away if fur grows on "
            "it.",
            _ASK,
        ),
        Caution(
            "low_acid",
            lambda now: now.ph is not None and now.ph >= _SAFE_PH,
            "A must or wine this low in acid lets harmful bacteria live. Acidify it below pH 4.0 "
            "before it stands.",
            "Measure; do not rely on taste.",
        ),
        Caution(
            "hot_liquid",
            lambda now: now.extraction in _HOT,
            "Scalding must splashes and cracks glass: pour it into a bucket meant for heat, never "
            "into a glass jar.",
            "Cool a burn under running water and see a doctor if it is large.",
        ),
        Caution(
            "bottle_pressure",
            lambda now: (now.sugar_g_l or 0.0) > SAFE_SUGAR_G_L or "bottle" in now.steps,
            "Sugar left in a bottle with live yeast can burst it. Bottle only when the gravity has "
            "not moved for weeks, and stabilise a sweet wine first; still-wine bottles, swing-tops "
            "and jars are not made for pressure.",
            "If in doubt, keep it under an airlock.",
        ),
        Caution(
            "glass",
            lambda now: bool({"bottle", "jar"} & set(now.steps)),
            "A full glass jar is heavy and breaks when it is wet, knocked or warmed: carry it in a "
            "crate, never by the neck, and do not press a stuck cork towards your hand.",
            "See a doctor about a deep cut.",
        ),
        Caution(
            "sulphite",
            lambda now: "sulphite" in now.kinds,
            "Sulphite powder and its fumes sting eyes and lungs; weigh it with air about you. It "
            "can bring on asthma: tell guests, and put it on the label.",
            _LIMITS,
        ),
        Caution(
            "sorbate",
            lambda now: "sorbate" in now.kinds,
            "Sorbate does not stop a working ferment, and without sulphite bacteria turn it into a "
            "geranium smell.",
            _LIMITS,
        ),
        Caution(
            "caustic",
            lambda now: "titrate" in now.steps,
            "The hydroxide in a titration kit burns skin and eyes: wear glasses, keep it from "
            "children, and never drink a sample that was titrated.",
            "Rinse with much water and see a doctor if it gets into an eye.",
        ),
        Caution(
            "copper",
            lambda now: bool(_SMELLS & set(now.faults)),
            "Copper is poisonous in excess, so no dose is given here, not against a smell of bad "
            "eggs either: rack with some splashing, feed nitrogen earlier next time, and wait.",
            "Only a laboratory can dose copper safely.",
        ),
        Caution(
            "fining_allergens",
            lambda now: "fining" in now.kinds,
            "Egg white, milk protein and fish finings can leave traces that hurt somebody with an "
            "allergy: tell guests, and put it on the label.",
            "Read the packet.",
        ),
        Caution(
            "carbon_dioxide",
            lambda now: "ferment" in now.steps,
            "A ferment gives off carbon dioxide, which gathers low in a closed room and cannot be "
            "smelt. Keep a window open.",
            "Leave the room at once if you feel dizzy.",
        ),
        Caution(
            "strong_wine",
            lambda now: "drink" in now.steps,
            "Strength worked out at home may be off by 0.7 % or more; do not rely on it for "
            "driving, medicine or the law, and keep it from children and in pregnancy.",
            "Only a laboratory can certify it.",
        ),
        Caution(
            "distilling",
            lambda now: (now.wanted_alcohol or 0.0) > _STRONGEST_FERMENT,
            "More strength than yeast can make does not come from this book. Distilling, or "
            "freezing the water out, is against the law without a licence and can burn or poison.",
            "Check your local rules.",
        ),
        Caution(
            "home_production",
            lambda now: "make" in now.steps,
            "Home wine is for your own table and not for sale in most places, and the yearly "
            "quantity may be limited.",
            "Check your local rules.",
        ),
    )
}


def cautions_due(now: Circumstances) -> list[Caution]:
    """Return what must be said in these circumstances, the gravest first.

    Parameters
    ----------
    now : Circumstances

    Returns
    -------
    list of Caution
    """
    return [caution for caution in CAUTIONS.values() if caution.is_due(now)]


def cautions_for_must(
    fruits: set[str],
    *,
    has_stone_fruit: bool,
    extraction: str | None,
    kinds: set[str],
    ripeness: Collection[str] = (),
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
    ripeness : collection of str
        Of the fruit (additions.csv).

    Returns
    -------
    list of Caution
    """
    return cautions_due(
        Circumstances(
            fruits=fruits,
            has_stone_fruit=has_stone_fruit,
            extraction=extraction,
            kinds=kinds,
            ripeness=ripeness,
            steps=("ferment",),
        )
    )
