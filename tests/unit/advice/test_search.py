"""The search finds the pair that does together what neither does alone, and keeps to the wishes."""

from dataclasses import replace
from itertools import combinations

import numpy as np
import pytest

from pipeline.advice.edits import Edit
from pipeline.advice.suggest.doubts import (
    DOUBTED,
    UNSURE_END,
    change_sd,
    steps_of,
    strength_sd,
)
from pipeline.advice.suggest.searching import MAY_COST, Tried, _best
from pipeline.advice.suggest.sets import mixing_pairs, promising
from pipeline.advice.suggest.wanted import Wanted
from pipeline.advice.suggest.yardstick import Outcomes, Yardstick, yardstick_of
from pipeline.learning.departures import Departure
from pipeline.learning.ferment import SUGAR_PER_PERCENT
from pipeline.learning.outcome import Outcome

PLAIN = Yardstick(20.0, 0.95, 0.95, (11.0, 13.0), np.inf, 0.96, False)


def _outcomes(**columns: list[float]) -> Outcomes:
    size = len(next(iter(columns.values())))
    plain = {"score": 14.0, "share": 1.0, "strength": 12.0, "cost_per_bottle": 1.0}
    values = {name: np.full(size, value) for name, value in plain.items()}
    values |= {"phosphate": np.zeros(size)}
    return Outcomes(**values | {name: np.array(value) for name, value in columns.items()})


class _Cellar:
    def settings(self) -> dict:
        return {"score_out_of": 20.0}


def test_a_vessel_that_stands_empty_costs_a_point_for_every_twentieth() -> None:
    worth = PLAIN.worth(_outcomes(share=[0.95, 0.90, 1.2]))
    assert worth == pytest.approx([14.0, 13.0, 14.0])


def test_what_was_asked_for_goes_before_a_finer_taste() -> None:
    worth = PLAIN.worth(_outcomes(score=[14.0, 17.0], strength=[12.0, 13.5]))
    assert worth[1] < worth[0]


@pytest.mark.parametrize(
    ("columns", "missed"),
    [
        ({"share": [1.0, 0.90]}, ["full"]),
        ({"strength": [12.0, 10.5]}, ["weaker"]),
        ({"strength": [12.0, 13.5]}, ["stronger"]),
        ({"cost_per_bottle": [1.0, 1.5]}, ["cost"]),
        ({"phosphate": [0.5, 1.2]}, ["nutrient"]),
        ({"share": [0.7, 0.7], "strength": [14.0, 13.9]}, []),
        ({"share": [0.7, 0.6]}, ["full"]),
    ],
)
def test_a_wish_is_missed_by_being_further_from_it_than_the_recipe(columns, missed) -> None:
    yardstick = Yardstick(20.0, 0.95, 0.95, (11.0, 13.0), 1.2, 0.96, False)
    found = yardstick.missed(_outcomes(**columns))
    assert [wish for wish, rows in found.items() if rows[1]] == missed
    assert not any(rows[0] for rows in found.values())


def test_a_strength_near_the_end_of_what_is_wanted_must_be_well_known() -> None:
    found = _outcomes(strength=[12.0, 12.9])
    assert PLAIN.is_allowed(found, np.array([0.0, 0.2])).all()
    assert PLAIN.is_allowed(found, np.array([0.0, 0.5])).tolist() == [True, False]


def test_without_wishes_the_recipe_says_what_is_wanted() -> None:
    yardstick = yardstick_of(_Cellar(), _outcomes(share=[0.7], strength=[11.5]), Wanted())
    assert yardstick.strength == (10.5, 12.5)
    assert yardstick.full_needed == 0.7
    assert not yardstick.is_unmet
    asked = yardstick_of(_Cellar(), _outcomes(strength=[11.5]), Wanted(strength=(12, 13)))
    assert asked.is_unmet


def test_what_was_asked_for_is_kept_to_the_letter_and_what_was_not_is_no_bar() -> None:
    found = _outcomes(cost_per_bottle=[1.0, 1.205, 1.22], share=[0.7, 1.0, 1.0])
    plain = yardstick_of(_Cellar(), found, Wanted())
    assert plain.meets(found).all()
    cheap = yardstick_of(_Cellar(), found, Wanted(cost_per_bottle=1.2))
    assert cheap.meets(found).tolist() == [True, True, False]
    both = yardstick_of(_Cellar(), found, Wanted(cost_per_bottle=1.2, full=0.95))
    assert both.meets(found).tolist() == [False, True, False]


WATER = [Edit(2, "water", "water", "amount", "4 L", text) for text in ("5 L", "6 L")]
SUGAR = [Edit(3, "sugar", "sugar", "amount", "1 kg", text) for text in ("1.2 kg", "1.4 kg")]
ACID = [Edit(4, "acid", "citric acid", "amount", "5 g", "8 g")]
YEAST = [Edit(None, "yeast", None, "yeast", "A", "B")]


def test_amounts_that_mix_are_tried_in_pairs_from_the_start() -> None:
    pairs = mixing_pairs([*WATER, *SUGAR, *ACID, *YEAST])
    assert {frozenset((one.kind, other.kind)) for one, other in pairs} == {
        frozenset(("water", "sugar"))
    }
    assert len(pairs) == 4


def _truth(edits: tuple[Edit, ...]) -> tuple[float, float, float]:
    """A must in which water thins what sugar strengthens."""
    water = {"5 L": 1.25, "6 L": 1.5}
    sugar = {"1.2 kg": 1.2, "1.4 kg": 1.4}
    poured = np.prod([water.get(edit.after, 1.0) for edit in edits])
    sweet = np.prod([sugar.get(edit.after, 1.0) for edit in edits])
    strength = 12.0 * sweet / poured
    score = 14.0 + 0.5 * (YEAST[0] in edits) - 0.4 * abs(strength - 12.0)
    return score, 0.7 * float(poured), float(strength)


def test_the_best_triple_is_found_though_no_part_of_it_is_good_alone() -> None:
    singles = [*WATER, *SUGAR, *ACID, *YEAST]
    sets = [(), *((edit,) for edit in singles), *mixing_pairs(singles)]
    tried = np.array([_truth(edits) for edits in sets]).T
    outcomes = _outcomes(score=tried[0], share=tried[1], strength=tried[2])
    yardstick = Yardstick(20.0, 0.95, 0.7, (11.0, 13.0), np.inf, 0.96, False)
    found = promising(sets, outcomes, yardstick, 5)

    every = [
        group
        for size in (1, 2, 3)
        for group in combinations(singles, size)
        if len({edit.place for edit in group}) == size
    ]
    true = np.array([_truth(edits) for edits in [(), *every]]).T
    all_of_them = _outcomes(score=true[0], share=true[1], strength=true[2])
    worth = np.where(yardstick.is_allowed(all_of_them), yardstick.worth(all_of_them), -np.inf)[1:]
    assert set(found[0]) == set(every[int(np.argmax(worth))]) == {WATER[1], SUGAR[1], YEAST[0]}
    assert all(len({edit.place for edit in edits}) == len(edits) for edits in found)


@pytest.mark.parametrize(
    ("share", "cost", "is_made"),
    [
        (0.7, 0.9 * MAY_COST, True),
        (0.7, 1.1 * MAY_COST, False),
        (0.96, 0.1 * MAY_COST, False),
    ],
)
def test_taste_may_be_given_for_wine_only_where_the_vessel_would_stay_short(
    share: float, cost: float, is_made: bool
) -> None:
    outcomes = _outcomes(score=[14.0, 14.0 - cost], share=[share, 1.0])
    yardstick = yardstick_of(_Cellar(), outcomes, Wanted())
    worth = yardstick.worth(outcomes) + np.array([0.0, 5.0])
    sets = [(), (WATER[0],)]
    plain = Tried(
        sets,
        plans=None,
        forecast=None,
        lines=None,
        outcomes=outcomes,
        yardstick=yardstick,
        worth=worth,
        chance=np.ones(2),
        missed=yardstick.missed(outcomes),
    )
    assert (_best(plain)[2] == 1) is is_made


def test_what_makes_up_for_another_change_is_doubted_as_much_as_both() -> None:
    sets = [(), (WATER[0],), (SUGAR[0],), (WATER[0], SUGAR[0]), (ACID[0],)]
    alcohol = Outcome(
        mean=np.array([12.0, 10.0, 14.0, 12.0, 12.0]),
        sd=np.ones(5),
        noise=np.ones(5),
        degrees=30.0,
        batches=40,
        unit="% vol",
        bounds=(0.0, np.inf),
        slope=np.array([[0.0], [-1.0], [1.0], [0.1], [0.0]]),
        spread=lambda rows: 0.2 * np.abs(rows[:, 0]),
        departure=Departure(1.0, share=0.1, least=0.1),
    )
    expected = dict.fromkeys(DOUBTED, alcohol)
    found = change_sd(sets, expected, "alcohol", steps_of(sets, expected))
    one = 0.1**2 + 0.2**2
    assert found**2 == pytest.approx([0.0, 0.04 + one, 0.04 + one, 0.0004 + 2 * one, 0.0])
    assert alcohol.change_sd(0)[3] ** 2 == pytest.approx(0.0004 + 0.01)


def test_water_that_seems_to_take_only_sugar_left_over_may_take_strength() -> None:
    level = Outcome(
        mean=np.array([14.0, 14.0]),
        sd=np.ones(2),
        noise=np.ones(2),
        degrees=30.0,
        batches=40,
        unit="% vol",
        bounds=(0.0, np.inf),
        slope=np.zeros((2, 1)),
        spread=lambda rows: np.zeros(len(rows)),
    )
    left = replace(level, mean=np.array([60.0, 60.0 - SUGAR_PER_PERCENT]), unit="g/L")
    expected = {**dict.fromkeys(DOUBTED, level), "residual_sugar": left}
    sets = [(), (WATER[0],)]
    steps = steps_of(sets, expected)
    assert strength_sd(sets, expected, steps, Wanted()) == pytest.approx([0.0, UNSURE_END])
    asked = strength_sd(sets, expected, steps, Wanted(strength=(11.0, 13.0)))
    assert asked.tolist() == level.sd.tolist()
