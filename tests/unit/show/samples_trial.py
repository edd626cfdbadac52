"""A trial as `pipeline.advice.trial` answers it, small enough to read."""

from unit.show.samples import estimate

SKINS_OFF = {
    "line": 2,
    "kind": "fruit",
    "ingredient": "damson",
    "field": "skins",
    "from": "on",
    "to": "off",
    "to_si": None,
}
ARMS = [
    {"name": "A: skins on", "changes": []},
    {"name": "B: skins off", "changes": [SKINS_OFF]},
]


def considered(factor, labels, value, half, after, *, may_help=True):
    return {
        "factor": factor,
        "labels": labels,
        "effect_mean": estimate(value, half, "points"),
        "interval_width_now": 2 * half,
        "interval_width_after": after,
        "may_help": may_help,
    }


SETTLED = {
    "factor": "skins",
    "factors": ["skins"],
    "labels": ["skins on", "skins off"],
    "pairs": [["damson A", "damson B"]],
    "purpose": "harshness",
    "difference_mean": estimate(-1.2, 0.3, "points"),
    "before_mean": estimate(-0.9, 0.7, "points"),
    "after_mean": estimate(-1.1, 0.4, "points"),
    "interval_width_before": 1.4,
    "interval_width_after": 0.8,
    "tastings": 8,
    "tasters": 4,
    "evenings": 2,
    "is_settled": True,
    "verdict": "better",
    "more_tastings": None,
    "more_pairs": None,
    "why": "",
}
TRIAL = {
    "recipe": "damson dry",
    "arms": ARMS,
    "learns": [{"factor": "skins", "interval_width_now": 1.4, "interval_width_after": 0.9}],
    "why": "With skins off it may be 0.2 to 1.6 points softer than with skins on.",
    "purpose": "harshness",
    "factor": "skins",
    "split": "fruit",
    "considered": [
        considered("skins", ["skins on", "skins off"], -0.9, 0.7, 0.9),
        considered("yeast", ["the yeast Wherry", "the yeast Hobnail"], -0.2, 0.5, 0.9),
        considered("freezing", ["fresh fruit", "frozen fruit"], 0.0, 0.3, 0.5, may_help=False),
        considered("acidity", ["no acid added", "4 g of acid"], 0.2, 0.2, 0.3, may_help=False),
    ],
    "confounded": [
        {
            "factors": ["enzyme", "freezing"],
            "split_on": "freezing",
            "arms": [
                {"name": "A: fresh fruit", "changes": []},
                {"name": "B: frozen fruit", "changes": [SKINS_OFF]},
            ],
            "interval_width_now": 0.6,
            "interval_width_after": 0.5,
        },
        {"factors": ["fruit", "ripeness"], "split_on": None, "arms": []},
    ],
    "how": ["Weigh out two equal lots.", "Put both together on the same day."],
    "tastings": {
        "tasters": 4,
        "useful_difference": 0.5,
        "glass_sd": 0.4,
        "vessel_sd": 0.3,
        "evenings": [{"evenings": 1, "interval_width_after": 0.9}],
        "pairs": [{"pairs": 1, "interval_width_after": 0.9}],
        "interval_width_at_best": 0.8,
        "evenings_needed": 2,
        "pairs_needed": 1,
        "tests": [
            {"test": "paired", "tastings_needed": 16, "hits_needed": 12},
            {"test": "triangle", "tastings_needed": None, "hits_needed": None},
        ],
    },
    "sheet": {
        "a": "A: skins on",
        "b": "B: skins off",
        "test": "paired",
        "tasters": 2,
        "seed": 1,
        "serving": [
            {"taster": 1, "codes": [608, 880], "wines": ["A", "B"], "odd_code": None},
            {"taster": 2, "codes": [561, 584], "wines": ["B", "A"], "odd_code": None},
        ],
        "hits_needed": None,
        "verdict": None,
    },
    "log_as": {
        "recipe": "damson dry",
        "batch_ids": ["damson dry A", "damson dry B"],
        "text": "Write both into batches.csv.",
    },
    "doubts": [{"code": "few_batches", "text": "only 14 tasted batches"}],
    "cautions": [{"code": "glass", "text": "A full jar is heavy.", "defers_to": ""}],
    "next_step": "Find two vessels of one kind.",
    "settled": [SETTLED],
}
NOTHING = {
    **dict.fromkeys(TRIAL, None),
    "recipe": "damson dry",
    "why": "Only 5 batches are tasted: until there are 12, nothing can be weighed.",
    **{
        name: []
        for name in (
            *("arms", "learns", "considered", "confounded", "how"),
            *("doubts", "cautions", "settled"),
        )
    },
}
