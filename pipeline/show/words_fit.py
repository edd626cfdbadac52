"""How well each model predicts batches it has not seen, in sentences and as a table."""

from collections.abc import Sequence

from pipeline.counts import counted
from pipeline.show.listing import Listing
from pipeline.show.measures import Measure, capital
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
    "global": "mean of all",
    "boosting": "general method",
}
_HEADINGS = ("what", "batches", "off by", *_BASELINES.values(), "inside its range (so wide)")
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
    """Say which models earn their keep, and on how many batches that was tried if not on all."""
    tried = data["tried"]
    said = _earning(data)
    if tried["batches"] == tried["of"]:
        return said
    return (
        f"{said} Tried on {tried['batches']:,} of the {tried['of']:,} batches, whole recipes "
        "spread from the first to the last."
    )


def _earning(data: dict) -> str:
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
        rows.append(
            (
                MODELS.get(name, name),
                str(model["batches"]),
                error.write(model["mae"]),
                *baselines,
                _range_held(error, model),
            )
        )
    return Listing(_HEADINGS, rows)


def season_listing(data: dict) -> Listing:
    """One row per model: error of a year foreseen from those before, beside each baseline."""
    rows = []
    for name, model in data["models"].items():
        error, season = _ERRORS.get(name, Measure(name, "", 3)), model["next_season"]
        if season["mae"] is not None:
            rows.append(
                (
                    MODELS.get(name, name),
                    str(season["batches"]),
                    error.write(season["mae"]),
                    *(error.write(season["baselines"].get(key)) for key in _BASELINES),
                    _range_held(error, season),
                )
            )
    return Listing(_HEADINGS, rows)


def _range_held(error: Measure, tried: dict) -> str:
    """Return how often the interval held, and how wide it was."""
    if tried["coverage_90"] is None:
        return NOT_KNOWN
    return f"{100 * tried['coverage_90']:.0f} % ({error.write(tried['width_90'])})"


def season_answer(data: dict) -> str:
    """Say what the forecasts of a coming year are worth, or that nobody can tell yet."""
    seasons = {name: model["next_season"] for name, model in data["models"].items()}
    known = {name: season for name, season in seasons.items() if season["mae"] is not None}
    unknown = [MODELS.get(name, name) for name in seasons if name not in known]
    later = f"Cannot tell yet how well the next year is foreseen: {', '.join(unknown)}. {_IT_TAKES}"
    if not known:
        return later
    worse = [MODELS.get(name, name) for name, season in known.items() if not is_better(season)]
    said = "The next year, foreseen from the years before: "
    said += (
        f"no better than a simple guess in {', '.join(worse)}."
        if worse
        else ("better than any simple guess.")
    )
    return f"{said} {later}" if unknown else said


def unseen_lines(data: dict, names: Sequence[str]) -> list[str]:
    """Say of some models how they did on batches they had not seen, and on the next year."""
    found = []
    for name in names:
        error, model = _ERRORS[name], data["models"][name]
        noun, season = capital(MODELS[name]), model["next_season"]
        if model["mae"] is None:
            found.append(f"{noun}: too few batches to try it on some that it has not seen.")
            continue
        found.append(f"{noun}, tried on batches it had not seen: {_how_far(error, model)}")
        if season["mae"] is None:
            found.append(f"{noun} of the next year: cannot tell yet. {_IT_TAKES}")
        else:
            tried = _how_far(error, season)
            found.append(f"{noun} of the next year, foreseen from the years before: {tried}")
    return found


_IT_TAKES = "It takes 12 batches judged before a year begins, and 12 from such years."


def _how_far(error: Measure, tried: dict) -> str:
    return (
        f"off by {error.write(tried['mae'])} on average over "
        f"{counted(tried['batches'], 'batch', 'batches')}, the best simple guess by "
        f"{error.write(tried['baseline_mae'])}; {100 * tried['coverage_90']:.0f} % came out "
        f"inside the range given, which is {error.write(tried['width_90'])} wide."
    )


def fit_doubts(data: dict) -> list[str]:
    """Return what stands against each model."""
    named = [{"name": MODELS.get(n, n), **model} for n, model in data["models"].items()]
    return doubt_lines(named, lambda model: capital(model["name"]))
