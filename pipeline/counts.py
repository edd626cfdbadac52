"""Numbers of things in words: one batch is not ``1 batches``, and none is not ``0``."""

_IN_THOUSANDS = 10_000  # four digits are read at a glance


def counted(number: int, noun: str, plural: str = "") -> str:
    """Write a count with its noun.

    Examples
    --------
    >>> counted(1, "batch", "batches"), counted(12, "day"), counted(10_000, "row")
    ('1 batch', '12 days', '10,000 rows')
    """
    written = f"{number:,}" if number >= _IN_THOUSANDS else f"{number}"
    return f"{written} {noun if number == 1 else plural or noun + 's'}"


def how_many(number: int) -> str:
    """Write how many of some things: ``none of your batches``, ``2 of your batches``.

    Examples
    --------
    >>> how_many(0), how_many(2)
    ('none', '2')
    """
    return str(number) if number else "none"


def times(number: float) -> str:
    """Write how often.

    Examples
    --------
    >>> times(1), times(2.0), times(3)
    ('once', 'twice', '3 times')
    """
    return {1.0: "once", 2.0: "twice"}.get(number, f"{number:g} times")
