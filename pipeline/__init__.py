"""hedgerow: from a folder of batch logs to answers about country wine.

From a notebook::

    from pathlib import Path
    import pipeline

    cellar = pipeline.load_cellar(Path("my-logbook"))
    cellar.table("batches")  # a polars frame, one row per batch, SI units
    models = pipeline.fit_models(cellar)
    pipeline.answer("volume", cellar, models)

`pipeline.enology` holds the chemistry as functions on floats or numpy arrays, and
`pipeline.PooledRegressor` is the scikit-learn estimator that the models are built with.
"""

__version__ = "0.1.0"

TYPE_CHECKING = False  # as in `typing`, which takes longer to import than `hedgerow --help` takes
if TYPE_CHECKING:
    from pipeline.advice import answer
    from pipeline.cellar import Cellar, load_cellar
    from pipeline.learning import Models, fit_models
    from pipeline.learning.mixed.spreads import Grouped
    from pipeline.learning.pooled import PooledRegressor
    from pipeline.logbook import CheckedLogbook, read_logbook

__all__ = [
    "Cellar",
    "CheckedLogbook",
    "Grouped",
    "Models",
    "PooledRegressor",
    "answer",
    "fit_models",
    "load_cellar",
    "read_logbook",
]
_ROOMS = {
    "answer": "advice",
    "Cellar": "cellar",
    "load_cellar": "cellar",
    "Models": "learning",
    "fit_models": "learning",
    "Grouped": "learning.mixed.spreads",
    "PooledRegressor": "learning.pooled",
    "CheckedLogbook": "logbook",
    "read_logbook": "logbook",
}


def __getattr__(name: str) -> object:
    """Import a public name when it is first asked for: `hedgerow --help` needs none of them."""
    if name not in _ROOMS:
        raise AttributeError(f"module 'pipeline' has no attribute '{name}'")
    from importlib import import_module

    return getattr(import_module(f"pipeline.{_ROOMS[name]}"), name)
