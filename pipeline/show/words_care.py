"""What the batches of a logbook call for taking care of, in sentences that name them."""

from pipeline.show.measures import joined
from pipeline.show.words_doubts import sentence

_NAMED = 3


def care_lines(cautions: list[dict]) -> list[str]:
    """Say each caution once, before it the batches that it concerns, the gravest first.

    Parameters
    ----------
    cautions : list of dict
        As `pipeline.advice.cautions_shelf.shelf_cautions` gives them.
    """
    return [f"{_batches(one['batches'])}. {sentence(one['text'])}" for one in cautions]


def _batches(names: list[str]) -> str:
    """Name a few batches, the newest; of many say how many more there are."""
    if len(names) <= _NAMED + 1:
        return joined(names)
    newest = names[-_NAMED:]
    return f"{', '.join(newest)} and {len(names) - _NAMED} more"
