"""What fruit holds: sugar, starch, acid; fresh, dried, as juice.

References
----------
.. [1] Starch + water -> glucose, sucrose + water -> invert sugar: stoichiometry.
.. [2] CSIRO banana ripening guide, after von Loesecke: pulp by peel colour (from memory,
   ± 3 g/100 g).
.. [3] Juice solids that are not sugar (acids, pectin, sorbitol, salts), about an eighth: common
   practice, no source. Real juice of 22 °Bx gives 12 to 13 % vol, not the 15 of pure sucrose.
"""

import numpy as np

from pipeline.enology.arguments import Numeric, checked, chosen, returned
from pipeline.enology.substances import GLUCOSE_PER_STARCH, INVERT_PER_SUCROSE
from pipeline.enology.sucrose import gravity_from_brix, sugar_from_gravity

OTHER_SOLIDS_FRACTION = 0.12  # [3]
# Sugar and starch of banana pulp by peel colour, 1 green … 8 browning [g/100 g pulp] [2].
BANANA_SUGAR = (0.5, 2.5, 4.5, 7.5, 13.5, 18.0, 19.0, 19.0)
BANANA_STARCH = (20.0, 18.0, 16.0, 13.0, 7.0, 2.5, 1.5, 1.0)
BANANA_STAGE = {"under": 4, "ripe": 6, "over": 8}  # common practice, no source


def banana_sugar_and_starch(ripeness: str = "ripe") -> tuple[float, float]:
    """Return sugar and starch of banana pulp by ripeness.

    Parameters
    ----------
    ripeness : {'under', 'ripe', 'over'}
        As in the logbook: more yellow than green, all yellow, browning.

    Returns
    -------
    tuple of float
        Sugar and starch [g/100 g of pulp], ± 3 [2]_. Other tables say 12 to 23 for sugar: measure.

    Raises
    ------
    ValueError
        If the ripeness is not one of the three.

    Examples
    --------
    >>> banana_sugar_and_starch("under")
    (7.5, 13.0)
    """
    stages = {name: float(stage) for name, stage in BANANA_STAGE.items()}
    stage = int(chosen(stages, ripeness, "ripeness")) - 1
    return BANANA_SUGAR[stage], BANANA_STARCH[stage]


def juice_sugar_from_brix(
    brix: Numeric, other_solids_fraction: Numeric = OTHER_SOLIDS_FRACTION
) -> Numeric:
    """Return the fermentable sugar of a fruit juice from its Brix.

    Parameters
    ----------
    brix : float or array
        Of the juice, before sugar is added [°Bx], 0 to 78.
    other_solids_fraction : float or array
        Share of the solids that does not ferment, 0 to 1 [3]_; more in pears (sorbitol).

    Returns
    -------
    float or array
        Glucose and fructose [g/L], as `potential_alcohol` wants it.

    Raises
    ------
    ValueError
        If a scalar argument is impossible.

    Examples
    --------
    >>> round(juice_sugar_from_brix(22.0) / 16.83, 1)
    12.5
    """
    percent = checked(brix, "brix", 0, 78, "°Bx")
    other = checked(other_solids_fraction, "other_solids_fraction", 0, 1)
    solids = np.asarray(sugar_from_gravity(gravity_from_brix(percent)))
    return returned(solids * (1 - other), percent, other)


def starch_to_sugar(starch_g: Numeric, converted_fraction: Numeric = 1.0) -> Numeric:
    """Return the glucose [g] that amylase makes of starch: 1.111 g per g [1]_.

    Without amylase or with raw starch `converted_fraction` is near 0: starch then makes haze.

    Parameters
    ----------
    starch_g : float or array
        Starch [g].
    converted_fraction : float or array
        Share converted, 0 to 1.

    Returns
    -------
    float or array
        Glucose [g].

    Raises
    ------
    ValueError
        If a scalar argument is impossible.
    """
    starch = checked(starch_g, "starch_g", 0, unit="g")
    share = checked(converted_fraction, "converted_fraction", 0, 1)
    return returned(GLUCOSE_PER_STARCH * starch * share, starch, share)


def invert_from_sucrose(sucrose_g: Numeric) -> Numeric:
    """Return invert sugar [g] from sucrose [g]: 1.0526, because splitting binds water.

    Parameters
    ----------
    sucrose_g : float or array
        Sucrose [g].

    Returns
    -------
    float or array
        Glucose and fructose [g].

    Raises
    ------
    ValueError
        If a scalar argument is impossible.
    """
    sucrose = checked(sucrose_g, "sucrose_g", 0, unit="g")
    return returned(INVERT_PER_SUCROSE * sucrose, sucrose)


def fruit_supplies(
    fruit_kg: Numeric, grams_per_kg: Numeric, refuse_fraction: Numeric = 0.0
) -> Numeric:
    """Return what fruit brings of sugar, acid or starch.

    Parameters
    ----------
    fruit_kg : float or array
        Fruit as weighed [kg].
    grams_per_kg : float or array
        Content of the edible part [g/kg].
    refuse_fraction : float or array
        Share thrown away or holding nothing: peel, stones, stalks; 0 for prepared fruit.

    Returns
    -------
    float or array
        Amount [g] if all of it is extracted; cold whole fruit gives less.

    Raises
    ------
    ValueError
        If a scalar argument is impossible.
    """
    fruit = checked(fruit_kg, "fruit_kg", 0, unit="kg")
    content = checked(grams_per_kg, "grams_per_kg", 0, 1000, "g/kg")
    refuse = checked(refuse_fraction, "refuse_fraction", 0, 1)
    return returned(fruit * (1 - refuse) * content, fruit, content, refuse)


def dried_concentration(
    grams_per_kg_fresh: Numeric, water_g_kg_fresh: Numeric, water_g_kg_dried: Numeric = 250.0
) -> Numeric:
    """Return the content of dried fruit [g/kg] from the fresh one: water leaves, the rest stays.

    A quarter of water is usual in soft dried fruit; common practice, no source.

    Parameters
    ----------
    grams_per_kg_fresh : float or array
        Content of the fresh fruit [g/kg], 0 to 1000.
    water_g_kg_fresh, water_g_kg_dried : float or array
        Water before and after [g/kg], under 1000.

    Returns
    -------
    float or array
        Content of the dried fruit [g/kg].

    Raises
    ------
    ValueError
        If a scalar argument is impossible.
    """
    content = checked(grams_per_kg_fresh, "grams_per_kg_fresh", 0, 1000, "g/kg")
    fresh = checked(water_g_kg_fresh, "water_g_kg_fresh", 0, 999, "g/kg")
    dried = checked(water_g_kg_dried, "water_g_kg_dried", 0, 999, "g/kg")
    return returned(content * (1000 - dried) / (1000 - fresh), content, fresh, dried)
