"""How likely a must is to stick, as it is said across the table."""

import pytest
from unit.show import samples

from pipeline.show.words_sticking import one_in, sticking_line, sticking_lines


@pytest.mark.parametrize(
    ("chance", "said"),
    [
        (0.004, "fewer than 1 in 100"),
        (0.0099, "fewer than 1 in 100"),
        (0.011, "about 1 in 100"),
        (0.034, "about 1 in 30"),
        (0.05, "about 1 in 20"),
        (0.12, "about 1 in 8"),
        (0.45, "about 1 in 2"),
        (0.7, "most"),
    ],
)
def test_a_chance_is_so_many_musts(chance, said):
    assert one_in(chance) == said


def test_the_gravest_reason_comes_with_what_to_do():
    assert sticking_line(samples.recipe("damson dry")) == (
        "About 1 in 15 such musts stick before they have finished. It is shorter of nitrogen than "
        "your usual must: fed as well as that, about 1 in 50 would."
    )


@pytest.mark.parametrize("factor", ["nitrogen_shortfall", "sugar_excess", "heat_or_cold", "yeast"])
def test_every_reason_has_its_help(factor):
    recipe = samples.recipe("plum") | {
        "chance_stuck": samples.estimate(0.2, 0.1, "1"),
        "stuck_reasons": [{"factor": factor, "chance_without": 0.1}],
    }
    line = sticking_line(recipe)
    assert line.startswith("About 1 in 5 such musts stick before they have finished. ")
    assert line.endswith(", about 1 in 10 would.")


def test_nothing_is_advised_where_nothing_stands_out_nor_said_where_nothing_is_known():
    plain = samples.recipe("plum") | {"stuck_reasons": []}
    assert sticking_lines([plain]) == ["About 1 in 15 such musts stick before they have finished."]
    unknown = samples.recipe("sloe") | {"chance_stuck": None, "stuck_reasons": []}
    assert sticking_lines([unknown]) == []
    assert sticking_lines([plain, unknown]) == [
        "Plum: about 1 in 15 such musts stick before they have finished."
    ]


def test_of_many_recipes_the_likeliest_to_stick_are_named():
    many = [
        samples.recipe(f"no {number}")
        | {"chance_stuck": samples.estimate(number / 50, 0.01, "1"), "stuck_reasons": []}
        for number in range(1, 11)
    ]
    lines = sticking_lines(many)
    assert lines[0] == "No 10: about 1 in 5 such musts stick before they have finished."
    assert len(lines) == 7
    assert lines[-1] == "The 4 others are less likely to."
