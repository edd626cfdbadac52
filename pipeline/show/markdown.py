"""Text that people typed, made safe for the page: shown as typed, never read as markup."""

import re

from pipeline.show.terminal import printable

# What is read as markup within one line: emphasis, code, links, tags, formulas, cells, entities,
# shortcodes and colours, addresses; and what begins a list, a heading or a quotation.
_WITHIN = r"[\\`*\[\]<>$~|&{}@^]|(?<![^\W_])_|_(?![^\W_])|:(?=\S)|(?<=www)\.|!(?=\[)"
_READ_AS_MARKUP = re.compile(f"({_WITHIN}|^[-+#=])", re.IGNORECASE)
_NUMBERED = re.compile(r"^(\d{1,9})(?=[.)])")
_MARKS = re.compile(r"([!-/:-@\[-`{-~])")


def escape(text: str) -> str:
    """Return text that Markdown shows letter by letter.

    Every ASCII punctuation mark is escaped, which CommonMark allows (section 2.4); line breaks
    become blanks, so that no line can begin a list or a heading. Marks that turn the reading
    direction around are written out: they would turn the rest of the sentence around too.
    """
    return _MARKS.sub(r"\\\1", printable(" ".join(text.split())))


def label(text: str) -> str:
    """Return text that Markdown shows letter by letter, as few of them escaped as can be.

    The page gives a field's label to screen readers as it is written, so that each backslash more
    than is needed would be read out.

    Examples
    --------
    >>> label("Fruit kg: '1.360' in line 8")
    "Fruit kg: '1.360' in line 8"
    """
    within = _READ_AS_MARKUP.sub(r"\\\1", printable(" ".join(text.split())))
    return _NUMBERED.sub(r"\1\\", within)
