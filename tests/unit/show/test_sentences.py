"""The answer in one sentence on top, whatever is added to it below."""

import pytest

from pipeline.show.sentences import first_sentence


@pytest.mark.parametrize(
    ("text", "first", "rest"),
    [
        ("It ends at 0.996 (0.99 to 1.0). Two would tell.", 0.996, "Two would tell."),
        ("J3 gave 11.4 % vol, 4 of 10. Bottle it.", "of 10.", "Bottle it."),
        ("See readings.csv line 3, 1.5 lb more.", "more.", ""),
        ("", "", ""),
    ],
)
def test_an_answer_is_cut_after_its_first_sentence(text, first, rest):
    sentence, more = first_sentence(text)
    assert str(first) in sentence
    assert more == rest
    assert f"{sentence} {more}".strip() == text
