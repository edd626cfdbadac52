"""A simulator of country-wine makers: logbooks by the contract, with the truth beside them.

``simulate(seed, batches)`` returns a ``Maker``; ``write(maker, folder)`` writes its logbook;
``maker.truth`` holds what a model should find. The physics, noise and functional forms are the
simulator's own: nothing is imported from the pipeline, so recovering the truth proves something.
"""

from makers.maker import Maker, record, simulate
from makers.plant import CAUSES
from makers.truth import FACTORS, Truth
from makers.write import write

__all__ = ["CAUSES", "FACTORS", "Maker", "Truth", "record", "simulate", "write"]
