"""Names as typed: nothing a person writes is read as markup by the page."""

import re

import pytest

from pipeline.show.markdown import escape


@pytest.mark.parametrize(
    "typed",
    ["*plum*", "[a](b)", "$x$", ":red[x]", "<i>x</i>", "# head", "1. one", "- one", "a|b", "`x`"],
)
def test_every_mark_is_escaped(typed):
    shown = escape(typed)
    assert re.sub(r"\\(.)", r"\1", shown) == typed
    assert not re.search(r"(?<!\\)[*\[\]$:<>#.|`-]", shown)


def test_line_breaks_cannot_begin_a_list_or_a_heading():
    assert escape("plum\n\n# big") == "plum \\# big"


def test_plain_words_stay_as_they_are():
    assert escape("Lane damson 2025, äöü") == "Lane damson 2025\\, äöü"
