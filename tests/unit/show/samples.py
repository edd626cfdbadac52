"""Small invented answers in the JSON shapes of the command line."""


def estimate(value, half, unit="", batches=12):
    return {
        "value": value,
        "low": value - half,
        "high": value + half,
        "level": 0.9,
        "unit": unit,
        "batches": batches,
    }


def doubt(code="few_batches", text="only 2 batches"):
    return {"code": code, "text": text}


def full(made, largest=None, smallest=None, always=False, never=False):
    return {
        "made": made,
        "largest_load": largest,
        "smallest_load": smallest,
        "always": always,
        "never": never,
    }


def curve(made, start, slope):
    loads = (0.1, 0.3, 0.5, 0.7)
    return [
        {
            "made": made,
            "fruit_load": load,
            "finished_fraction": estimate(start + slope * load, 0.08, "1"),
        }
        for load in loads
    ]


def fruit(name, batches, gives, half, volumes, doubts=()):
    return {
        "fruit": name,
        "batches": batches,
        "litres_per_kg": estimate(gives, half, "L/kg", batches),
        "curve": curve("to_mark", 0.95, -0.5) + curve("on_top", 0.97, gives - 0.3),
        "full_volume": volumes,
        "water_for_full": [
            {
                "fruit_load": load,
                "water_per_litre_of_target": estimate(1.1 - gives * load, 0.05, "L/L", batches),
            }
            for load in (0.2, 0.4, 0.6)
        ],
        "doubts": list(doubts),
    }


VOLUME = {
    "fruits": [
        fruit(
            "banana",
            9,
            -0.12,
            0.05,
            [full("to_mark", never=True), full("on_top", largest=0.45)],
        ),
        fruit(
            "rhubarb",
            14,
            0.55,
            0.06,
            [full("to_mark", largest=0.12), full("on_top", always=True)],
        ),
        fruit(
            "sloe",
            2,
            0.05,
            0.2,
            [full("to_mark", never=True), full("on_top", always=True)],
            [doubt()],
        ),
    ]
}


def yeast(name, batches, gravity, half, tolerance=None):
    return {
        "yeast": name,
        "batches": batches,
        "final_gravity": estimate(gravity, half, "SG", batches),
        "apparent_attenuation": estimate(1.02, 0.02, "1", batches),
        "real_attenuation": estimate(0.83, 0.02, "1", batches),
        "alcohol_tolerance": tolerance,
    }


def pair(a, b, difference, half, probability, doubts=()):
    return {
        "a": a,
        "b": b,
        "difference": estimate(difference, half, "SG"),
        "chance_a_drier": probability,
        "doubts": list(doubts),
    }


YEASTS = {
    "yeasts": [
        yeast("Millrace", 21, 1.006, 0.003, estimate(12.1, 0.5, "% vol")),
        yeast("Lantern", 40, 0.993, 0.0015),
        yeast("Hollow Lane", 6, 0.9945, 0.004),
    ],
    "pairs": [
        pair("Lantern", "Millrace", -0.013, 0.004, 0.999),
        pair("Lantern", "Hollow Lane", -0.0015, 0.004, 0.71),
        pair("Millrace", "Hollow Lane", 0.0115, 0.005, 0.01, [doubt()]),
    ],
    "pairs_over_logbook": [],
}


def driver(factor, value, half, per, doubts=()):
    return {
        "factor": factor,
        "effect": estimate(value, half, "points"),
        "per": per,
        "doubts": list(doubts),
    }


HARSH = {
    "drivers": [
        driver("taster", 1.6, 0.1, "Bo, not Ada"),
        driver("residual_sugar", -0.4, 0.15, "per 10 g/L more"),
        driver("skins", 1.3, 0.5, "left on, not off"),
        driver("must_temperature", 0.6, 0.3, "per 5 °C warmer"),
        driver("enzyme", 0.1, 0.5, "with it, not without", [doubt("no_variation", "hardly any")]),
    ]
}


def reason(factor, value, half, practice=None, now=(), next_time=(), doubts=()):
    return {
        "factor": factor,
        "contribution": estimate(value, half, "points"),
        "compared_with": "12 smooth batches",
        "practice": practice,
        "now": list(now),
        "next_time": list(next_time),
        "doubts": list(doubts),
    }


HARSH_BATCH = {
    "batch": "2025-09",
    "harshness": estimate(6.2, 0.7, "points"),
    "measured": 6.4,
    "expected": 5.9,
    "reasons": [
        reason(
            "skins",
            1.3,
            0.5,
            "common practice, no source: skins left on taste grippy when dry",
            ["sweeten a glass by 10 g/L and taste"],
            ["take the skins off"],
        ),
        reason("must_temperature", 0.7, 0.4, None, [], ["keep the must under 20 °C"]),
        reason("age", -0.2, 0.3),
        reason("enzyme", 0.01, 0.1, "common practice, no source: opens skins", ["never said"]),
    ],
    "confounded_sets": [["skins", "contact_days"]],
}


def model(mae, best, batches=120, coverage=0.91, doubts=()):
    return {
        "batches": batches,
        "rmse": mae * 1.3,
        "mae": mae,
        "baseline_mae": best,
        "baselines": {"same_fruit": best * 1.2, "global": best * 1.6, "boosting": best},
        "coverage_90": coverage,
        "doubts": list(doubts),
        "variance": {"fruit": 0.1, "residual": 0.2},
        "width_90": mae * 4,
        "next_season": season(mae * 1.1, best),
    }


def season(mae, best, batches=40):
    return {
        "batches": batches,
        "mae": mae,
        "baseline_mae": best,
        "baselines": {"same_fruit": best * 1.1, "global": best * 1.2, "boosting": best},
        "coverage_90": 0.9,
        "width_90": mae * 4,
    }


NO_SEASON = season(0.0, 0.0, 3) | dict.fromkeys(("mae", "baseline_mae", "coverage_90", "width_90"))


FIT = {
    "models": {
        "volume": model(0.041, 0.062),
        "gravity": model(0.0021, 0.0035),
        "score": model(1.4, 1.3, doubts=[doubt(text="score: 4 tasters only")]),
        "harshness": model(0.62, 0.9),
    },
    "tried": {"batches": 40, "of": 40},
}


def recipe(name, volume=4.1, harshness=3.1):
    return {
        "recipe": name,
        "original_gravity": estimate(1.084, 0.004, "SG"),
        "final_gravity": estimate(0.996, 0.003, "SG"),
        "alcohol": estimate(11.8, 0.6, "% vol"),
        "finished_volume": estimate(volume, 0.3, "L"),
        "finished_fraction": estimate(volume / 4.5, 0.07, "1"),
        "bottles": estimate(5, 0.6, ""),
        "nitrogen": estimate(120, 30, "mg/L"),
        "nitrogen_needed": estimate(180, 20, "mg/L"),
        "acidity": estimate(6.1, 0.6, "g/L"),
        "residual_sugar": estimate(2, 1, "g/L"),
        "harshness": estimate(harshness, 1.2, "points"),
        "score": estimate(13.2, 2.5, "points"),
        "cost_per_bottle": estimate(1.3, 0.2, "GBP"),
        "chance_stuck": estimate(0.06, 0.05, "1"),
        "stuck_reasons": [{"factor": "nitrogen_shortfall", "chance_without": 0.021}],
        "doubts": [doubt("default_value", "the acid of damson is an average")],
        "cautions": ["damson stones hold cyanide: do not crush them"],
    }


PREDICT = {"recipes": [recipe("damson dry", 3.7, 5.2), recipe("damson soft")]}

FILL = {
    "recipe": "damson dry",
    "keep": "strength",
    "chance_asked": 0.8,
    "refused": None,
    "target_l": 4.5,
    "chance_now": 0.04,
    "chance": 0.83,
    "changes": [
        {
            "line": 3,
            "kind": "water",
            "ingredient": "water",
            "field": "amount",
            "from": "to 1 gal",
            "to": "to 1 gal 1 pt",
            "to_si": 5.11,
        }
    ],
    "vessel_l": 6.1,
    "after": recipe("damson dry, filled", 4.6, 5.0),
}
UNFILLED = FILL | {"refused": "'damson dry' has no water.", "changes": [], "after": None}

SUGGEST = {
    "recipe": "damson dry",
    "before": recipe("damson dry", 3.7, 5.2),
    "after": recipe("damson dry", 4.3, 3.9),
    "changes": [
        {
            "line": 3,
            "kind": "water",
            "ingredient": "water",
            "field": "amount",
            "from": "3 L",
            "to": "3.6 L",
            "to_si": 3.6,
            "why": "the vessel was not full",
            "effect": {"finished_volume": estimate(0.6, 0.1, "L")},
        },
        {
            "line": 2,
            "kind": "fruit",
            "ingredient": "damson",
            "field": "skins",
            "from": "on",
            "to": "off",
            "to_si": None,
            "why": "skins go with harsh glasses",
            "effect": {"harshness": estimate(-1.3, 0.5, "points")},
        },
    ],
    "not_changed": [{"what": "yeast", "why": "no other is told apart from it"}],
    "cautions": [],
}

COMPARE = {
    "columns": ["damson dry", "damson soft"],
    "rows": [
        {"measure": "fruit_load", "values": [0.42, 0.31], "spread_between_repeats": None},
        {"measure": "yeast", "values": ["Lantern", "Millrace"], "spread_between_repeats": None},
        {
            "measure": "finished_volume",
            "values": [estimate(3.7, 0.3, "L"), estimate(4.1, 0.3, "L")],
            "spread_between_repeats": 0.12,
        },
        {
            "measure": "harshness",
            "values": [estimate(5.2, 1.2, "points"), None],
            "spread_between_repeats": 0.5,
        },
    ],
    "differences": [
        {
            "factor": "water",
            "a": 3.0,
            "b": 3.6,
            "effect": {"finished_volume": estimate(0.6, 0.1, "L")},
        },
        {"factor": "skins", "a": "on", "b": "off", "effect": {"harshness": estimate(-0.3, 0.5)}},
    ],
}

FILES = [
    {"file": "batches.csv", "rows_read": 150, "rows_loaded": 148, "rows_set_aside": 2},
    {"file": "additions.csv", "rows_read": 900, "rows_loaded": 893, "rows_set_aside": 7},
]

FINDINGS = {
    "folder": "hedgerow-demo",
    "files": FILES,
    "volume": VOLUME,
    "yeasts": YEASTS,
    "harsh": HARSH,
    "harsh_batch": HARSH_BATCH,
}


def course(batch, last=1.015, done=("2026-08-20", "2026-08-14", "2026-08-30")):
    value, low, high = done or (None, None, None)
    return {
        "batch": batch,
        "name": None,
        "last_day": 6.0,
        "last_gravity": last,
        "final_gravity": estimate(0.995, 0.003, "SG"),
        "done_day": estimate(20.0, 6.0, "days") if done else None,
        "done_on": {"value": value, "low": low, "high": high} if done else None,
        "curve": [
            {"day": 6.0, "gravity": estimate(last, 0.0, "SG")},
            {"day": 20.0, "gravity": estimate(0.996, 0.002, "SG")},
        ],
    }


FINISH = {"batches": [], "without_curve": [], "without_end": [], "batches_learnt_from": 40}


def planned(fruit="damson", fruit_kg=1.5, water_l=4.0, target_l=4.5, chance_full=0.8):
    return {
        "fruit": fruit,
        "target_l": target_l,
        "fruit_kg": fruit_kg,
        "water_l": water_l,
        "sugar_kg": 1.0,
        "vessel_l": 7.4,
        "finished_volume": estimate(4.6, 0.3, "L"),
        "finished_fraction": estimate(1.02, 0.07, "1"),
        "chance_full": chance_full,
        "curve": [
            {"water_l": litres, "finished_volume": estimate(0.6 + litres, 0.3, "L")}
            for litres in (3.0, 4.5, 6.0)
        ],
    }
