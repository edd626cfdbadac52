"""The constant that says how much free sulphur dioxide is molecular, by strength and warmth.

References
----------
.. [1] OIV-MA-AS323-04C, Table 1: thermodynamic pkT by % vol and temperature (read; the row for
   20 % vol from memory).
"""

import numpy as np
from numpy.typing import NDArray

from pipeline.enology.arguments import Array, Numeric, checked, returned

_ABV = np.array([0.0, 5.0, 10.0, 15.0, 20.0])  # [1] % vol
_CELSIUS = np.array([20.0, 25.0, 30.0, 35.0, 40.0])
_PKT = np.array(
    [
        [1.798, 2.000, 2.219, 2.334, 2.493],
        [1.897, 2.098, 2.299, 2.397, 2.527],
        [1.997, 2.198, 2.394, 2.488, 2.606],
        [2.099, 2.301, 2.503, 2.607, 2.728],
        [2.203, 2.406, 2.628, 2.754, 2.895],
    ]
)


def _place(value: Array, grid: Array) -> tuple[NDArray[np.intp], Array]:
    """Return the cell of the grid and the position in it; beyond the ends the edge cell runs on."""
    cell = np.clip(np.searchsorted(grid, np.nan_to_num(value), side="right") - 1, 0, len(grid) - 2)
    return cell, (value - grid[cell]) / (grid[cell + 1] - grid[cell])


def sulphite_pk(abv: Numeric, temperature_c: Numeric = 20.0) -> Numeric:
    """Return OIV's thermodynamic constant pkT of sulphurous acid.

    Parameters
    ----------
    abv : float or array
        Strength [% vol], 0 to 20.
    temperature_c : float or array
        0 to 40 [°C]; the table starts at 20, below it the first step is carried on.

    Returns
    -------
    float or array
        pkT, interpolated in the table [1]_; about 1.798 + 0.02 × abv at 20 °C.

    Raises
    ------
    ValueError
        If a scalar argument is outside its range.

    Examples
    --------
    >>> round(sulphite_pk(10.0), 3)
    1.997
    """
    strength = checked(abv, "abv", 0, 20, "% vol")
    celsius = checked(temperature_c, "temperature_c", 0, 40, "°C")
    row, down = _place(strength, _ABV)
    column, right = _place(celsius, _CELSIUS)
    upper = _PKT[row, column] * (1 - right) + _PKT[row, column + 1] * right
    lower = _PKT[row + 1, column] * (1 - right) + _PKT[row + 1, column + 1] * right
    return returned(upper * (1 - down) + lower * down, strength, celsius)
