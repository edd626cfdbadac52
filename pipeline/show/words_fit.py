"""How well each model predicts batches it has not seen, in sentences and as a table."""

from pipeline.show.listing import Listing
from pipeline.show.measures import Measure, capital, counted
from pipeline.show.units import NOT_KNOWN
from pipeline.show.words_doubts import doubt_lines

MODELS = {
    "volume": "finished volume",
    "gravity": "finished gravity",
    "score": "score",
    "harshness": "harshness",
}
_BASELINES = {
    "same_fruit": "mean of the same fruit",
    "global": "mean of everything",
    "boosting": "boosted trees",
}
_ERRORS = {
    "volume": Measure("", "% of the target", 1, lambda x: 100 * x),
    "gravity": Measure("", "", 4),
    "score": Measure("", "points", 2),
    "harshness": Measure("", "points", 2),
}


def is_better(model: dict) -> bool:
    """Tell whether a model beats every simple baseline on batches it has not seen."""
    return (
        model["mae"] is not None
        and model["baseline_mae"] is not None
        and model["mae"] < model["baseline_mae"]
    )


def model_sentence(name: str, model: dict) -> str:
    """Say how far off one model is, beside the best simple guess, and whether it is used."""
    error = _ERRORS.get(name, Measure(name, "", 3))
    noun = MODELS.get(name, name).capitalize()
    if model["mae"] is None:
        return f"{noun}: too few batches to say how well it is predicted."
    off = (
        f"{noun}: off by {error.write(model['mae'])} on average over "
        f"{counted(model['batches'], 'batch', 'batches')} it had not seen; "
        f"the best simple guess is off by {error.write(model['baseline_mae'])}."
    )
    if not is_better(model):
        return f"{off} It does no better than that guess, so do not lean on it."
    return off


def fit_answer(data: dict) -> str:
    """Say in one sentence which models earn their keep."""
    better = [MODELS.get(n, n) for n, m in data["models"].items() if is_better(m)]
    worse = [MODELS.get(n, n) for n, m in data["models"].items() if not is_better(m)]
    if not worse:
        return "Every model predicts unseen batches better than any simple average."
    if not better:
        return "No model predicts unseen batches better than a simple average yet: log more."
    return (
        f"Better than any simple average on unseen batches: {', '.join(better)}. "
        f"Not better: {', '.join(worse)}."
    )


def fit_listing(data: dict) -> Listing:
    """One row per model: mean error beside each baseline, and how often its interval held."""
    rows = []
    for name, model in data["models"].items():
        error = _ERRORS.get(name, Measure(name, "", 3))
        baselines = [error.write(model["baselines"].get(key)) for key in _BASELINES]
        covered = model["coverage_90"]
        rows.append(
            (
                MODELS.get(name, name),
                str(model["batches"]),
                error.write(model["mae"]),
                *baselines,
                NOT_KNOWN if covered is None else f"{100 * covered:.0f} %",
            )
        )
    headings = ("what", "batches", "off by", *_BASELINES.values(), "held by the 90 % interval")
    return Listing(headings, rows)


def fit_doubts(data: dict) -> list[str]:
    """Return what stands against each model."""
    named = [{"name": MODELS.get(n, n), **model} for n, model in data["models"].items()]
    return doubt_lines(named, lambda model: capital(model["name"]))
