"""Text that people typed, made safe for HTML: shown as typed, never read as markup."""

import html

from pipeline.show.terminal import printable


def escape(text: str) -> str:
    r"""Return text that HTML shows letter by letter, quotes included.

    A mark that turns the reading direction around is written out: it would turn the rest of the
    sentence around too, and with it the digits of a dose.

    Examples
    --------
    >>> escape("<b>")
    '&lt;b&gt;'
    >>> escape("plum" + chr(0x202E))
    'plum\\u202e'
    """
    return html.escape(printable(text))
