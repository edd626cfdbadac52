"""How every function of this package takes its arguments and gives its results.

Floats in, float out; arrays in, array out (shapes broadcast). NaN passes through. An impossible
*scalar* raises ValueError naming argument, value and range. An impossible *element of an array*
becomes NaN, because one odd row of a logbook must not stop the other three million.
"""

from typing import TypeAlias

import numpy as np
from numpy.typing import NDArray

Array: TypeAlias = NDArray[np.float64]
Numeric: TypeAlias = float | Array


def checked(
    value: Numeric, name: str, low: float = -np.inf, high: float = np.inf, unit: str = ""
) -> Array:
    """Return an argument as an array, refusing what cannot be.

    Parameters
    ----------
    value : float or array
        The argument.
    name : str
        What the caller calls it.
    low, high : float
        The physically possible range, ends included.
    unit : str
        Printed after the range.

    Returns
    -------
    numpy.ndarray
        0-dimensional for a scalar; impossible elements of an array are NaN.

    Raises
    ------
    ValueError
        If a scalar lies outside the range or is infinite.

    Examples
    --------
    >>> checked(1.5, "original_gravity", 0.9, 1.4)
    Traceback (most recent call last):
    ...
    ValueError: original_gravity must be between 0.9 and 1.4, got 1.5
    """
    array = np.asarray(value, dtype=np.float64)
    is_impossible = (array < low) | (array > high) | np.isinf(array)
    if array.ndim:
        return np.where(is_impossible, np.nan, array)
    if is_impossible:
        raise ValueError(f"{name} must be {_range(low, high, unit)}, got {float(array):g}")
    return array


def _range(low: float, high: float, unit: str) -> str:
    suffix = f" {unit}" if unit else ""
    if np.isinf(high):
        return f"at least {low:g}{suffix}"
    if np.isinf(low):
        return f"at most {high:g}{suffix}"
    return f"between {low:g} and {high:g}{suffix}"


def returned(result: Array | np.float64, *arguments: Array) -> Numeric:
    """Return a float if every argument was a scalar, else the array in its broadcast shape."""
    if all(argument.ndim == 0 for argument in arguments):
        return float(result)
    return np.asarray(result, dtype=np.float64)


def chosen(options: dict[str, float], name: str, argument: str) -> float:
    """Return the option of that name.

    Raises
    ------
    ValueError
        If there is none; the message lists the names that exist.
    """
    if name not in options:
        raise ValueError(f"{argument} must be one of {', '.join(options)}, got {name!r}")
    return options[name]
