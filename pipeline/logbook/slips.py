"""What a maker meant by a number out of bounds; a proposal, never a conversion."""

from pipeline.logbook.typed_contract import HEAVIEST_GRAVITY, LIGHTEST_GRAVITY

_LIKELY_BRIX = (-5.0, 40.0)


def gravity_hint(text: str) -> str | None:
    """Return what to type in place of a gravity that is out of bounds.

    Parameters
    ----------
    text : str
        The cell as typed.

    Examples
    --------
    >>> gravity_hint("1082"), gravity_hint("998"), gravity_hint("22")
    ('1.082', '0.998', '22 Bx if it was Brix')
    """
    number = text.strip().lstrip("~≈ ").replace(",", ".")
    try:
        value = float(number)
    except ValueError:
        return None
    if LIGHTEST_GRAVITY * 1000 <= value <= HEAVIEST_GRAVITY * 1000:
        digits = number.replace(".", "").rjust(4, "0")
        return f"{digits[0]}.{digits[1:]}"
    if _LIKELY_BRIX[0] <= value <= _LIKELY_BRIX[1] and not 0.9 <= value <= 1.3:
        return f"{number} Bx if it was Brix"
    if 40 < value < 200:
        return f"1.{value:03.0f} if it was degrees above water"
    return None


def ph_hint(text: str) -> str | None:
    """Return what to type in place of a pH that is out of bounds.

    Examples
    --------
    >>> ph_hint("34"), ph_hint("340"), ph_hint("9")
    ('3.4', '3.40', None)
    """
    digits = text.strip()
    is_slipped = digits.isascii() and digits.isdigit() and 2 <= len(digits) <= 3
    return f"{digits[0]}.{digits[1:]}" if is_slipped and 2 <= int(digits[0]) <= 4 else None
