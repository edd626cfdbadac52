"""The cautions: everything here that can hurt somebody, the gravest first.

One table for the whole program. Each caution is shown wherever its trigger occurs: a command, a
page, a recipe sheet, the report.
"""

from pipeline.advice.cautions.caution import Caution
from pipeline.enology.carbonation import SAFE_SUGAR_G_L

HOT = ("hot", "steamed", "simmered")
_LOOKALIKES = {"elderflower", "parsnip", "dandelion", "gorse flower", "meadowsweet", "nettle"}
_SAFE_PH = 4.0  # acidify a must below it before it stands; common practice, no source
_SMELLS, _WORKING = {"sulphury"}, {"refermenting"}
STRONGEST_FERMENT = 18.0  # [% vol] few yeasts pass it; common practice, no source
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
            at=("start",),
        ),
        Caution(
            "raw_elder",
            # Of the flowers only what hangs on them harms, and that is picked off before.
            lambda now: (
                (
                    any("elderberry" in fruit for fruit in now.fruits)
                    or (any("elder" in fruit for fruit in now.fruits) and "ferment" in now.steps)
                )
                and now.extraction not in HOT
            ),
            "Raw elderberries, and elder stalks and leaves in any form, can make people sick. Use "
            "ripe berries off the stalk, and heat them.",
            _ASK,
            at=("start",),
        ),
        Caution(
            "stone_kernels",
            lambda now: now.has_stone_fruit,
            "The kernels in the stones of plums, cherries, peaches and their kin give off cyanide "
            "when crushed. Take the stones out or leave them whole; never mill them.",
            "Follow your local food-safety office.",
            at=("start",),
        ),
        Caution(
            "rhubarb_leaves",
            lambda now: "rhubarb" in now.fruits,
            "Rhubarb leaves are poisonous: stalks only.",
            "If a leaf was eaten, ask a poison line.",
            at=("start",),
        ),
        Caution(
            "mould",
            lambda now: "over" in now.ripeness or "pulp" in now.steps,
            "Mould makes poisons that fermenting does not remove: throw mouldy and rotten fruit "
            "away, push floating fruit under every day, and pour the batch away if fur grows on "
            "it.",
            _ASK,
            at=("stir", "start"),
        ),
        Caution(
            "low_acid",
            lambda now: now.ph is not None and now.ph >= _SAFE_PH,
            "A must or wine this low in acid lets harmful bacteria live. Acidify it below pH 4.0 "
            "before it stands.",
            "Measure; do not rely on taste.",
            at=("check", "start"),
        ),
        Caution(
            "hot_liquid",
            lambda now: now.extraction in HOT or "heat" in now.steps,
            "Scalding must splashes and cracks glass: pour it into a bucket meant for heat, never "
            "into a glass jar.",
            "Cool a burn under running water and see a doctor if it is large.",
            at=("start",),
        ),
        Caution(
            "bottle_pressure",
            lambda now: (
                (now.sugar_g_l or 0.0) > SAFE_SUGAR_G_L
                or now.is_unkept
                or "bottle" in now.steps
                or bool(_WORKING & set(now.faults))
            ),
            "Sugar left in a bottle with live yeast can burst it. Bottle only when the gravity has "
            "not moved for weeks, and stabilise a sweet wine first; still-wine bottles, swing-tops "
            "and jars are not made for pressure.",
            "If in doubt, keep it under an airlock.",
            at=("bottle",),
        ),
        Caution(
            "glass",
            lambda now: bool({"bottle", "jar"} & set(now.steps)),
            "A full glass jar is heavy and breaks when it is wet, knocked or warmed: carry it in a "
            "crate, never by the neck, and do not press a stuck cork towards your hand.",
            "See a doctor about a deep cut.",
            at=("fruit_out", "rack", "bottle"),
        ),
        Caution(
            "sulphite",
            lambda now: "sulphite" in now.kinds,
            "Sulphite powder and its fumes sting eyes and lungs; weigh it with air about you. It "
            "can bring on asthma: tell guests, and put it on the label.",
            _LIMITS,
            at=("sulphite", "stabilise"),
        ),
        Caution(
            "sorbate",
            lambda now: "sorbate" in now.kinds,
            "Sorbate does not stop a working ferment, and without sulphite bacteria turn it into a "
            "geranium smell.",
            _LIMITS,
            at=("stabilise",),
        ),
        Caution(
            "caustic",
            lambda now: "titrate" in now.steps,
            "The hydroxide in a titration kit burns skin and eyes: wear glasses, keep it from "
            "children, and never drink a sample that was titrated.",
            "Rinse with much water and see a doctor if it gets into an eye.",
            at=("check",),
        ),
        Caution(
            "copper",
            lambda now: bool(_SMELLS & set(now.faults)),
            "Copper is poisonous in excess, so no dose is given here, not against a smell of bad "
            "eggs either: rack with some splashing, feed nitrogen earlier next time, and wait.",
            "Only a laboratory can dose copper safely.",
            at=("stir", "rack"),
        ),
        Caution(
            "fining_allergens",
            lambda now: "fining" in now.kinds,
            "Egg white, milk protein and fish finings can leave traces that hurt somebody with an "
            "allergy: tell guests, and put it on the label.",
            "Read the packet.",
            at=("fining", "stabilise"),
        ),
        Caution(
            "carbon_dioxide",
            lambda now: "ferment" in now.steps,
            "A ferment gives off carbon dioxide, which gathers low in a closed room and cannot be "
            "smelt. Keep a window open.",
            "Leave the room at once if you feel dizzy.",
            at=("yeast", "start"),
        ),
        Caution(
            "strong_wine",
            lambda now: "drink" in now.steps,
            "Strength worked out at home may be off by 0.7 % or more; do not rely on it for "
            "driving, medicine or the law, and keep it from children and in pregnancy.",
            "Only a laboratory can certify it.",
            at=("taste",),
        ),
        Caution(
            "distilling",
            lambda now: (now.wanted_alcohol or 0.0) > STRONGEST_FERMENT,
            "More strength than yeast can make does not come from this book. Distilling, or "
            "freezing the water out, is against the law without a licence and can burn or poison.",
            "Check your local rules.",
            at=("bottle",),
        ),
        Caution(
            "home_production",
            lambda now: "make" in now.steps,
            "Home wine is for your own table and not for sale in most places, and the yearly "
            "quantity may be limited.",
            "Check your local rules.",
            at=("bottle",),
        ),
    )
}
