"""Text that people typed, made safe for the page: shown as typed, never read as markup."""

import re

_MARKS = re.compile(r"([!-/:-@\[-`{-~])")


def escape(text: str) -> str:
    """Return text that Markdown shows letter by letter.

    Every ASCII punctuation mark is escaped, which CommonMark allows (section 2.4); line breaks
    become blanks, so that no line can begin a list or a heading.
    """
    return _MARKS.sub(r"\\\1", " ".join(text.split()))
