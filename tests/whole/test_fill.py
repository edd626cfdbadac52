"""A vessel is filled as surely as was asked for, by what the simulator then truly brews.

How well over many makers is measured by tests/scale/fill_quality.py.
"""

import json

import makers
import numpy as np
import pytest
from scale.fill_quality import CHANCES, cases

from pipeline.cli import main

pytestmark = pytest.mark.slow  # models fitted, recipes brewed again and again


@pytest.fixture(scope="module")
def logbook(tmp_path_factory):
    folder = tmp_path_factory.mktemp("fill") / "club"
    return makers.write(makers.simulate(11, 60, planned=3, draws=2), folder)


@pytest.fixture(scope="module")
def recipe(logbook):
    rows = (logbook / "recipes.csv").read_text(encoding="utf-8").splitlines()
    return rows[1].split(",")[0]


@pytest.fixture
def predict(logbook, recipe, capsys):
    def answer(*words, status=0):
        capsys.readouterr()
        assert main(["predict", str(logbook), recipe, *words, "--json"]) == status
        (found,) = json.loads(capsys.readouterr().out)["recipes"]
        return found

    return answer


def test_the_target_is_reached_about_as_often_as_was_asked() -> None:
    found = list(cases(seed=4, batches=150, recipes=6, keeps=("strength",)))
    reached = [np.mean([c.reached for c in found if c.asked == chance]) for chance in CHANCES]
    assert reached == sorted(reached)
    assert reached == pytest.approx(CHANCES, abs=0.2)
    assert all(case.told >= case.asked for case in found)
    # The strength stays where it was planned, give or take what nobody can measure.
    assert np.mean([abs(case.moved) for case in found]) < 0.5


@pytest.mark.parametrize("keep", ["strength", "fruit", "proportions"])
def test_a_filled_recipe_keeps_what_it_says_and_traces_every_number(predict, keep) -> None:
    found = predict("--fill", "90", "--keep", keep, "--explain")
    fill, kinds = found["fill"], {change["kind"] for change in found["fill"]["changes"]}
    assert fill["refused"] is None
    assert fill["chance"] >= fill["chance_asked"] == 0.9
    assert fill["after"]["finished_volume"]["value"] > fill["target_l"]
    assert fill["vessel_l"] > fill["target_l"]
    assert ("fruit" in kinds) == (keep == "proportions")
    assert ("sugar" in kinds) == (keep != "fruit")
    if keep != "fruit":
        strength = [side["alcohol"]["value"] for side in (found, fill["after"])]
        assert strength[1] == pytest.approx(strength[0], abs=0.4)


def test_nothing_is_filled_unless_it_is_asked_for(predict) -> None:
    assert "fill" not in predict()


def test_what_cannot_be_filled_says_why(logbook, tmp_path, capsys, recipe) -> None:
    for path in logbook.glob("*.csv"):
        (tmp_path / path.name).write_bytes(path.read_bytes())
    (tmp_path / "logbook.toml").write_bytes((logbook / "logbook.toml").read_bytes())
    recipes = tmp_path / "recipes.csv"
    rows = recipes.read_text(encoding="utf-8").splitlines()
    recipes.write_text("\n".join(row for row in rows if ",water," not in row) + "\n", "utf-8")
    assert main(["predict", str(tmp_path), recipe, "--fill"]) == 1
    out = " ".join(capsys.readouterr().out.split())
    assert "Cannot say how to fill the vessel." in out
    assert "has no water to pour more or less of" in out


def test_the_chance_is_refused_in_one_sentence(logbook, recipe, capsys) -> None:
    assert main(["predict", str(logbook), recipe, "--fill", "full"]) == 2
    assert "--fill is the chance of a full vessel" in capsys.readouterr().err
