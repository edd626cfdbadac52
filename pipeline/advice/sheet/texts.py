"""What each step of a plan is called and says, in the order in which steps of one day are done."""

TEXTS = {
    "start": (
        "Put the must together",
        "Sort the fruit, throw away what is mouldy or rotten, and put it all into a clean, covered "
        "bucket. Stir until the sugar is gone.",
    ),
    "enzyme": (
        "Enzyme in",
        "Only when the must has cooled: heat destroys it. Stir, cover, and give it a night.",
    ),
    "yeast": (
        "Read the gravity, then yeast in",
        "Stir well, read gravity and warmth, and write both down: without this reading the "
        "strength can never be known. Then the yeast.",
    ),
    "feed": (
        "Feed it",
        "Read the gravity, stir this in until it is gone, read again, and write both down.",
    ),
    "add": ("Add", "Stir it in and write down the day."),
    "stir": (
        "Stir every day",
        "Push the fruit under and stir, morning and evening, and keep it covered. Look for fur, "
        "sniff for bad eggs.",
    ),
    "fruit_out": (
        "Fruit out",
        "Strain it into a jar without wringing the pulp, write down how much there is, and fit "
        "the airlock.",
    ),
    "rack": (
        "Rack off the sediment",
        "When the gravity has not moved for a week and the sediment lies firm: siphon the wine "
        "off it, write down how much there is, keep the jar full.",
    ),
    "cold": ("Into the cold", "Stand it as cool as you can for three weeks, to clear."),
    "check": (
        "Check that it has stopped",
        "Read the gravity now and again in a fortnight: only the same twice means that it has "
        "stopped. Measure the pH, and the acidity if you can.",
    ),
    "stabilise": (
        "Stabilise",
        "'hedgerow bench' tells how much sulphite its pH asks for, and how much sorbate if you "
        "sweeten.",
    ),
    "sweeten": (
        "Sweeten",
        "Taste the ladder of glasses that 'hedgerow bench' gives, a day after stabilising; then "
        "sweeten the batch.",
    ),
    "bottle": (
        "Bottle",
        "Read the gravity once more: if it has moved, wait. Write down the number of bottles, "
        "and label them with the batch, the year and 'contains sulphites' if it does.",
    ),
    "taste": (
        "Taste it",
        "Same glasses, same people, blind if you can; write down a score and what is harsh.",
    ),
}
