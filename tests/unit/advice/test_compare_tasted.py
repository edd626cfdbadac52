"""Scores of two sides set beside each other: glasses of two batches, batches of two recipes."""

from unit.show.samples import COMPARE

from pipeline.advice.compare_tasted import scored, tasted
from pipeline.show.units import Units
from pipeline.show.words_compare import tasted_lines, weighed_lines


def test_glasses_of_two_batches_are_compared_and_the_tastings_that_would_tell_counted(cellar):
    (found,) = tasted(cellar, {"dry": ["dry"], "sweet": ["sweet"]})
    assert (found["a"], found["b"], found["each"]) == ("dry", "sweet", "glass")
    assert found["scores"]["difference"]["value"] == 15.5 - 13.0
    # sd 1.118 of four glasses, two and two: t = 2.24 on 2 degrees of freedom, two-sided p = 0.155.
    assert round(found["scores"]["chance_by_luck"], 3) == 0.155
    (line,) = tasted_lines({"tasted": [found]}, Units())
    assert "cannot tell them apart" in line
    assert f"about {found['scores']['scores_each_to_see_it']} glasses of each" in line


def test_a_recipe_made_more_than_once_counts_each_batch_once(cellar):
    each, (one, other) = scored(cellar, ["dry", "flat"], ["sweet"])
    assert each == "batch"
    assert sorted(one) == [10.0, 13.0]
    assert other == [15.5]


def test_a_plan_or_a_single_glass_has_nothing_to_compare(cellar):
    assert tasted(cellar, {"dry": ["dry"], "plan": [], "flat": ["flat"]}) == []
    assert tasted_lines(COMPARE, Units()) == []


def test_a_strength_that_was_weighed_is_not_taken_for_the_one_that_was_read():
    rows = [{"measure": "alcohol", "values": [10.4, 11.1], "spread_between_repeats": None}]
    differs = [{"factor": "alcohol", "a": "11.7 % vol", "b": "12.2 % vol", "effect": {}}]
    (line,) = weighed_lines({"rows": rows, "differences": differs})
    assert "weighed with what went in" in line
    assert weighed_lines({"rows": rows, "differences": []}) == []
    assert weighed_lines(COMPARE) == []
