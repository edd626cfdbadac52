"""Names as typed: nothing a person writes is read as markup by the page."""

import html
import re

import pytest
from hypothesis import given
from hypothesis import strategies as st
from markdown_it import MarkdownIt

from pipeline.show import hypertext
from pipeline.show.markdown import escape, label


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


@pytest.mark.parametrize("made_safe", [escape, label, hypertext.escape])
def test_a_mark_that_turns_the_reading_direction_around_is_written_out(made_safe):
    turned = "5.1 g " + chr(0x202E) + "plum " + chr(0x2067) + "now"
    shown = made_safe(turned)
    assert not {chr(0x202E), chr(0x2067)} & set(shown)
    assert shown.replace("\\", "") == "5.1 g u202eplum u2067now"


@pytest.mark.parametrize("typed", ["'1.360' in line 8", "pH, if taken", "1 lb 14 oz (850 g)?"])
def test_a_label_of_plain_words_has_nothing_to_be_read_out(typed):
    assert label(typed) == typed


@given(st.text(st.sampled_from("a1_*.:) -[]<>$~|&{}@^!+#=\\`'\"/;,?%("), max_size=12))
def test_a_label_is_shown_as_typed(typed):
    shown = html.unescape(MarkdownIt().enable(["table", "strikethrough"]).render(label(typed)))
    words = " ".join(typed.split())
    assert shown.strip() == (f"<p>{words}</p>" if words else "")


@pytest.mark.parametrize("typed", [":red[x]", ":plum:", "$x$", "www.a.b", "http://a", "a@b.c"])
def test_what_the_page_adds_to_markdown_is_escaped_in_labels_too(typed):
    shown = label(typed)
    assert shown != typed
    assert re.sub(r"\\(.)", r"\1", shown) == typed
