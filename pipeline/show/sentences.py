"""Where an answer ends and what is added to it begins."""

import re

# A full stop that a capital follows: numbers, abbreviated units and file names have none after it.
_END = re.compile(r"(?<=[^\s.])\.\s+(?=[A-Z])")


def first_sentence(text: str) -> tuple[str, str]:
    """Return the first sentence of an answer, and the rest of it.

    Examples
    --------
    >>> first_sentence("It ends at 0.996 (0.99 to 1.0). Two more would tell.")
    ('It ends at 0.996 (0.99 to 1.0).', 'Two more would tell.')
    >>> first_sentence("3 batches: 1 fermenting and 2 bottled.")
    ('3 batches: 1 fermenting and 2 bottled.', '')
    """
    found = _END.search(text)
    return (text[: found.start() + 1], text[found.end() :]) if found else (text, "")
