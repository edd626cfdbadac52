"""Text that people typed, made safe for a terminal: nothing in it moves, hides or reorders text."""

import re

# Control characters but for line feed and tabulator, marks that turn the reading direction around,
# and halves of letters that no terminal can write.
_ACTING = re.compile(
    "[\x00-\x08\x0b-\x1f\x7f-\x9f\u200e\u200f\u202a-\u202e\u2066-\u2069\ud800-\udfff]"
)


def printable(text: str) -> str:
    r"""Return a text with what would act on a terminal written out, such as `\x1b`.

    Examples
    --------
    >>> printable("plum\x1b[2J")
    'plum\\x1b[2J'
    """
    return _ACTING.sub(lambda found: found[0].encode("unicode_escape").decode(), text)


def in_one_line(text: str) -> str:
    r"""Return a sentence for a terminal in one line: a line break in a name is written `\n`.

    Examples
    --------
    >>> in_one_line("there is no folder new\nline.")
    'there is no folder new\\nline.'
    """
    return printable(text).replace("\n", "\\n")
