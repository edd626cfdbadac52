"""Copper in a bench trial against the smell of rotten eggs; never a dose for a batch."""

from pipeline.enology.arguments import Numeric, checked, returned
from pipeline.enology.substances import COPPER_PER_COPPER_SULPHATE


def copper_added(solution_percent: Numeric, solution_ml_per_100_ml: Numeric) -> Numeric:
    """Return copper [mg/L] in a bench glass from copper sulphate solution [% of the pentahydrate].

    Copper is poisonous in excess and capped by law: feed nitrogen and give air early instead. Only
    for a bench glass; hedgerow gives no copper dose for a batch.

    Parameters
    ----------
    solution_percent : float or array
        Copper sulphate pentahydrate [% mass/vol], 0 to 10.
    solution_ml_per_100_ml : float or array
        Solution in 100 mL of wine [mL], 0 to 100.

    Returns
    -------
    float or array
        Copper [mg/L].

    Raises
    ------
    ValueError
        If a scalar argument is impossible.
    """
    percent = checked(solution_percent, "solution_percent", 0, 10, "%")
    share = checked(solution_ml_per_100_ml, "solution_ml_per_100_ml", 0, 100, "mL")
    milligrams = percent * 10000 * COPPER_PER_COPPER_SULPHATE
    return returned(milligrams * share / 100, percent, share)
