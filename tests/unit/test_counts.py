"""One of a kind is one, and none is none, in whatever is told."""

from pipeline.counts import counted, how_many, times


def test_one_is_not_a_plural() -> None:
    assert [counted(count, "batch", "batches") for count in (0, 1, 2)] == [
        "0 batches",
        "1 batch",
        "2 batches",
    ]
    assert counted(1, "day") == "1 day"


def test_nought_is_none_and_twice_is_twice() -> None:
    assert [how_many(count) for count in (0, 1)] == ["none", "1"]
    assert [times(count) for count in (1, 2.0, 3)] == ["once", "twice", "3 times"]
