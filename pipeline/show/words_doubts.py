"""Reasons to doubt an answer, and cautions, as sentences: each once, however often it arose."""

from collections.abc import Callable, Iterable, Sequence

from pipeline.advice.cautions import first_of_each
from pipeline.show.measures import capital, is_apart, joined

_CODES = {
    "few_batches": "too few batches",
    "outside_experience": "outside anything you have made",
    "confounded": "always changed together with something else",
    "no_variation": "never varied",
    "missing_input": "something was not logged",
    "default_value": "an average stands in for an unknown",
}


_NAMED = 4  # subjects named before the rest are counted


def doubt_lines(entries: Iterable[dict], name: Callable[[dict], str] | None = None) -> list[str]:
    """Return each reason to doubt once, as a sentence that says whom it concerns.

    Parameters
    ----------
    entries : iterable of dict
        Each with its `doubts`.
    name : callable, optional
        Gives an entry's subject; left out where the text names it already.
    """
    met = [
        (doubt, name(entry) if name else "")
        for entry in entries
        for doubt in entry.get("doubts", ())
    ]
    lines = []
    for code, alike in _by_code(met).items():
        texts = {doubt["text"] for doubt, _ in alike}
        subjects = list(dict.fromkeys(subject for _, subject in alike if subject))
        if len(texts) > _NAMED and len(subjects) > _NAMED:
            lines.append(sentence(f"{_shortened(subjects)}: {_CODES.get(code, code)}"))
        else:
            lines += _each(alike)
    return lines


def _by_code(met: list[tuple[dict, str]]) -> dict[str, list[tuple[dict, str]]]:
    codes: dict[str, list[tuple[dict, str]]] = {}
    for doubt, subject in met:
        codes.setdefault(doubt["code"], []).append((doubt, subject))
    return codes


def _each(met: list[tuple[dict, str]]) -> list[str]:
    """Return a sentence a text, with the subjects that it does not name itself."""
    subjects: dict[str, list[str]] = {}
    for doubt, subject in met:
        named = subjects.setdefault(doubt["text"], [])
        if subject and subject.lower() not in doubt["text"].lower() and subject not in named:
            named.append(subject)
    return [
        sentence(f"{_shortened(named)}: {text}" if named else text)
        for text, named in subjects.items()
    ]


def _shortened(names: list[str]) -> str:
    if len(names) <= _NAMED:
        return joined(names)
    return f"{', '.join(names[:_NAMED])} and {len(names) - _NAMED} more"


def doubt_marks(doubts: Iterable[dict]) -> str:
    """Return the kinds of doubt in a few words, for a table cell."""
    codes = dict.fromkeys(doubt["code"] for doubt in doubts)
    return ", ".join(_CODES.get(code, code.replace("_", " ")) for code in codes)


def marks_apart(entries: Sequence[dict]) -> list[str]:
    """Return the marks of each entry; none where all have the same, which is said once below."""
    marks = [doubt_marks(entry["doubts"]) for entry in entries]
    return [""] * len(marks) if len(marks) > 1 and len(set(marks)) == 1 else marks


def caution_lines(cautions: Iterable[dict | str]) -> list[str]:
    """Return each caution once, as a sentence, the gravest first."""
    texts = (one if isinstance(one, str) else one["text"] for one in first_of_each(cautions))
    return [sentence(text) for text in texts]


def sentence(text: str) -> str:
    """Begin with a capital and end with a full stop."""
    ended = text.rstrip()
    return capital(ended if ended.endswith((".", "!", "?")) else f"{ended}.")


def is_untried(driver: dict) -> bool:
    """Whether what is said of a driver comes from the trade and not from the logbook."""
    return any(doubt["code"] in ("few_batches", "no_variation") for doubt in driver["doubts"])


def told_first(drivers: list[dict]) -> list[dict]:
    """Return the drivers that differ from nought; those that the logbook shows, if it shows any."""
    clear = [driver for driver in drivers if is_apart(driver["effect"])]
    return [driver for driver in clear if not is_untried(driver)] or clear
