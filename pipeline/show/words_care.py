"""What batches and planned recipes call for taking care of, in sentences that name them."""

from collections.abc import Iterable

from pipeline.advice.cautions import first_of_each
from pipeline.show.measures import joined
from pipeline.show.words_doubts import sentence

_NAMED = 3


def care_lines(
    cautions: list[dict], more: Iterable[tuple[str, Iterable[dict | str]]] = ()
) -> list[str]:
    """Say each caution once, before it the batches that it concerns, the gravest first.

    Parameters
    ----------
    cautions : list of dict
        As `pipeline.advice.cautions.shelf.shelf_cautions` gives them.
    more : iterable of (str, cautions), optional
        What other answers call for, each with the recipe or batch that it concerns.
    """
    whom = {one["text"]: list(one["batches"]) for one in cautions}
    for name, others in more:
        for other in others:
            named = whom.setdefault(other if isinstance(other, str) else other["text"], [])
            if name not in named:
                named.append(name)
    texts = first_of_each(whom)
    return [f"{_named(whom[str(text)])}. {sentence(str(text))}" for text in texts]


def _named(names: list[str]) -> str:
    """Name a few, the newest; of many say how many more there are."""
    if len(names) <= _NAMED + 1:
        return joined(names)
    newest = names[-_NAMED:]
    return f"{', '.join(newest)} and {len(names) - _NAMED} more"
