"""A split batch in words: what to try, how often to taste, what was settled."""

import pytest
from unit.show.samples import estimate
from unit.show.samples_trial import NOTHING, SETTLED, TRIAL

from pipeline.show import text_trial, words_trial
from pipeline.show.answer import Answer
from pipeline.show.units import Units

UNITS = Units()


def test_the_answer_names_both_arms():
    assert words_trial.trial_answer(TRIAL) == (
        "Next time you make damson dry, split it in two: A with skins on, B with skins off."
    )
    glass = TRIAL | {"split": "glass"}
    assert words_trial.trial_answer(glass) == (
        "Of the finished damson dry, set a glass with skins off beside one with skins on."
    )


def test_where_nothing_can_be_said_the_reason_is_all():
    assert words_trial.trial_answer(NOTHING) == NOTHING["why"]
    assert words_trial.why_line(NOTHING) == ""
    assert words_trial.tasting_lines(NOTHING) == []


def test_only_changes_that_may_help_are_listed_and_the_others_are_named():
    listing = words_trial.considered_listing(TRIAL, UNITS)
    assert [row[0] for row in listing.rows] == [
        "skins off, not skins on",
        "the yeast Hobnail, not the yeast Wherry",
    ]
    assert listing.rows[0][1:] == ("−1.6 to −0.2 points", "1.40", "0.90")
    assert words_trial.others_line(TRIAL) == (
        "Hardly softer by enough to mind, so not worth a trial: frozen fruit and 4 g of acid."
    )


@pytest.mark.parametrize(
    ("needed", "says"),
    [
        ({}, "2 evenings, 4 tasters marking both each time"),
        ({"evenings_needed": None}, "1 such pair, 4 tasters marking both of each"),
        ({"evenings_needed": None, "pairs_needed": None}, "however often they meet"),
    ],
)
def test_how_often_to_taste_is_evenings_or_pairs_or_never(needed, says):
    data = TRIAL | {"tastings": TRIAL["tastings"] | needed}
    assert says in words_trial.tasting_lines(data)[0]


def test_answers_to_a_blind_test_are_counted():
    lines = words_trial.tasting_lines(TRIAL)
    assert (
        "Asked which of two is more so, a difference of 0.5 points takes about 16 answers; 12 of "
        "16 right are more than guessing." in lines
    )
    assert any("takes more answers than a house holds" in line for line in lines)


def test_what_never_changed_apart_is_named_with_its_split():
    first, second = words_trial.together_lines(TRIAL)
    assert first == (
        "Pectic enzyme and freezing the fruit changed together in your batches: only their sum is "
        "known. A split with fresh fruit in one and frozen fruit in the other tells them apart."
    )
    assert second.endswith("No split of this recipe tells them apart.")


@pytest.mark.parametrize(
    ("changed", "says"),
    [
        ({}, "Settled: skins off makes it softer."),
        ({"verdict": "worse"}, "Settled: skins off makes it harsher."),
        ({"verdict": "alike"}, "it makes no difference that anybody would mind."),
        (
            {"is_settled": False, "verdict": "open", "more_tastings": 3},
            "Not settled yet: 3 tastings more would do, if it stays as it stands.",
        ),
        (
            {"is_settled": False, "verdict": "open", "more_pairs": 1},
            "no more tasting of these settles it: make 1 pair more.",
        ),
        (
            {"is_settled": False, "verdict": "open"},
            "neither tasting nor another few pairs would settle it.",
        ),
    ],
)
def test_what_a_pair_settled_is_said_with_what_is_still_to_be_had(changed, says):
    data = TRIAL | {"settled": [SETTLED | changed]}
    [line] = words_trial.settled_lines(data, UNITS)
    assert says in line
    assert line.startswith("Of damson A and damson B: tasters found skins off −1.2 points")
    assert "(8 tastings)" in line
    assert "was known as −1.6 to −0.2 points before, as −1.5 to −0.7 points now" in line


def test_a_pair_that_tells_nothing_says_why():
    pair = SETTLED | {"after_mean": None, "why": "nobody has marked both on one evening yet"}
    [line] = words_trial.settled_lines(TRIAL | {"settled": [pair]}, UNITS)
    assert line == "Of damson A and damson B: nobody has marked both on one evening yet."


def test_a_trial_about_the_score_speaks_of_better_and_worse():
    pair = SETTLED | {"purpose": "score", "difference_mean": estimate(1.0, 0.2, "points")}
    data = TRIAL | {"purpose": "score", "settled": [pair]}
    assert "makes it better" in words_trial.settled_lines(data, UNITS)[0]
    assert words_trial.others_line(data).startswith("Hardly better")
    assert "about the score alone" in words_trial.about(data)
    assert "like better" in words_trial.question(data)


def test_the_printed_form_has_the_sheet_and_the_key_apart(capsys):
    text_trial.trial(Answer(TRIAL))
    printed = capsys.readouterr().out
    sheet, key = printed.split("fold it away")
    assert "608   880" in sheet
    assert "608 = A" not in sheet
    assert "608 = A: skins on" in key
    assert "odd one" not in key
    assert "Settled: skins off makes it softer" in " ".join(printed.split())


def test_where_nothing_can_be_said_one_sentence_is_printed(capsys):
    text_trial.trial(Answer(NOTHING))
    assert " ".join(capsys.readouterr().out.split()) == NOTHING["why"]


def test_a_pair_that_differs_in_fruit_is_told_in_the_logbooks_units():
    pair = SETTLED | {"labels": ["0.45 kg/L of fruit", "0.30 kg/L of fruit"]}
    [line] = words_trial.settled_lines(TRIAL | {"settled": [pair]}, Units(show="imperial"))
    assert "3.0 lb/imp gal of fruit" in line
    assert "kg/L" not in line
