"""The numbers that METHODS names are those the code works with."""

from pathlib import Path

import pytest

import pipeline
from pipeline.advice import fill
from pipeline.advice.suggest import searching as search
from pipeline.advice.suggest import yardstick
from pipeline.advice.trial import doses as trial_doses
from pipeline.advice.trial import weighing as trial_weigh
from pipeline.learning import ferment, gravity, sticking, sticking_chances, volume
from pipeline.learning.departures import DEPARTURES
from pipeline.learning.estimate import LEVEL
from pipeline.learning.explain import FEWEST_DIFFERENT
from pipeline.learning.explain import sets as explain_sets
from pipeline.learning.gravity import readings as gravity_readings
from pipeline.learning.heldout import seasons
from pipeline.learning.heldout import splits as heldout_splits
from pipeline.learning.mixed import curved, gram, tails
from pipeline.learning.taste import fit as taste_fit
from pipeline.learning.taste import terms as taste_terms
from pipeline.learning.volume import losses, release
from pipeline.logbook.quantity_cells import ROUGH_ERROR, SPOON_ERROR

ENGLISH = {2: "two", 3: "three", 4: "four", 5: "five", 16: "sixteen"}
TEXT = " ".join((Path(pipeline.__file__).parent / "METHODS.md").read_text("utf-8").split())

HARSH, SCORE, STRENGTH, SUGAR, FILLED = (
    DEPARTURES[name]
    for name in ("harshness", "score", "alcohol", "residual_sugar", "finished_fraction")
)


def percent(share: float) -> str:
    return f"{100 * share:g} %"


SAID = {
    "estimator": [
        f"beyond {gram.MOST_LEVELS:,} levels of unlike weight",
        f"up to {gram.MOST_STEPS} weights",
        f"t{'₀₁₂₃₄₅₆₇₈₉'[int(tails.ROBUST_DEGREES)]} likelihood by reweighting",
        f"Beyond {curved.MOST_BATCHES:,} batches an even sample of {curved.MOST_BATCHES:,}",
    ],
    "volume": [
        f"({release.GIVES_SHARE:g} of the fruit's own liquid before any batch is seen)",
        f"are held to about {round(100 * (losses.ALLOWANCES.sd or 0)):d} % of the target",
    ],
    "gravity": [
        f"(hexose − residue)/{ferment.SUGAR_PER_PERCENT:g} g/L per % vol",
        f"it is held at {ferment.SUGAR_PER_PERCENT:g}, and {percent(gravity.YIELD_DOUBT)} (one sd)",
        f"never under {gravity.MIXING_DOUBT:g} % vol per kg/L of load",
        f"past the bend {gravity_readings.TOLERANCE_NOISE:g} % vol of a ferment's own mood",
    ],
    "sticking": [
        f"(about {100 * sticking.USUAL_CHANCE:g} in 100)",
        f"squared distance outside {sticking.COLD_C:g}–{sticking.HOT_C:g} °C",
        f"intercept {percent(sticking.USUAL_CHANCE)} ± {sticking.USUAL_DOUBT:g} in log odds",
        f"yeasts ± {sticking.YEAST_SD:g}",
        f"those of the log odds × {sticking_chances.MISFIT:g}",
        f"what stood > {sticking.SHORT_OF_IT:g} sd (of a new batch)",
    ],
    "taste": [
        f"in {ENGLISH[taste_fit.PASSES]} passes",
        f"{len(taste_terms.HARSHNESS.lines)} terms (harshness; score: "
        f"{len(taste_terms.SCORE.lines)})",
        f"up to {ENGLISH[taste_fit.MOST_BENDS]} Gauss–Newton tangents",
        f"posterior sd × {taste_fit.MISFIT:g}",
    ],
    "confounding": [
        f"correlate at ≥ {explain_sets.SAME:g} over",
        f"(≥ {explain_sets.SAME:g}, ≥ {explain_sets.SAME_AMOUNT:g} for amounts)",
        f"within-fruit variance is < {percent(explain_sets.WITHIN)}",
        f"keeps > {percent(explain_sets.NOTHING_LEARNT)} of the prior variance",
        f"but < {percent(explain_sets.SOMETHING_LEARNT)} of that of the sum",
        f"Under {FEWEST_DIFFERENT} tasted batches",
    ],
    "trial": [
        f"β with {taste_fit.MISFIT:g}² times its posterior covariance",
        f"the root of {HARSH.least:g}² + ({HARSH.share:g} θ̂)² points "
        f"(score: {SCORE.least:g}² + ({SCORE.share:g} θ̂)²)",
        f"({trial_weigh.USEFUL['harshness']:g} points of harshness, "
        f"{trial_weigh.USEFUL['score']:g} of score in 20;",
        f"acid under {trial_doses.LEAST_ACIDITY_G_L:g} g/L",
    ],
    "suggest": [
        f"less {yardstick.SHORT_COSTS:g} points (of 20) for each whole vessel it stays short of "
        f"{percent(yardstick.FULL)} of the target",
        f"the {search.TRIED_TOGETHER} most promising",
        f"the root of {SCORE.least:g}² + ({SCORE.share:g} × what it does)² points of score, "
        f"{HARSH.least:g}² + ({HARSH.share:g} ×)² of harshness, "
        f"{STRENGTH.least:g}² + ({STRENGTH.share:g} ×)² % vol, "
        f"{SUGAR.least:g}² + ({SUGAR.share:g} ×)² g/L of sugar left, "
        f"{FILLED.least:g}² + ({FILLED.share:g} ×)² of the target",
        f"{search.WORTH_AT_ALL:g} points or more (nobody would notice less",
        f"better with a chance of {search.SURE_ENOUGH:g} or more",
        f"{ENGLISH[fill.SIZES.size].capitalize()} sizes of the water",
    ],
    "held out": [
        f"{ENGLISH[heldout_splits.FOLDS].capitalize()} folds by recipe",
        f"each of the latest {ENGLISH[seasons.MOST_SEASONS]} calendar years",
        f"beyond {heldout_splits.MOST_TRIED:,} batches",
        f"stretches of {heldout_splits.LONGEST_STRETCH} repeats",
    ],
    "doubt": [
        f"(spoon {percent(SPOON_ERROR)}, `~` {percent(ROUGH_ERROR)}) is a {percent(LEVEL)} "
        "interval",
        f"(× {volume.MISFIT:g} volume, × {gravity.MISFIT:g} and {gravity.FORM_DOUBT:.4f} SG "
        f"gravity, × {taste_fit.MISFIT:g} taste)",
    ],
}


@pytest.mark.parametrize("subject", SAID)
def test_methods_name_the_numbers_that_are_used(subject):
    missing = [text for text in SAID[subject] if text not in TEXT]
    assert not missing


def test_before_any_batch_a_chance_is_said_to_be_little_known_until_half_is_learnt():
    assert sticking_chances.LEARNT == 0.5
    assert "less than half of the prior's variance" in TEXT
