"""Every reader on inputs that nobody writes on purpose; see `fuzzing`."""

import pytest
from hypothesis import HealthCheck, given, seed, settings
from whole.fuzzing import READERS, tried


@pytest.mark.slow
@pytest.mark.parametrize("name", READERS)
def test_whatever_is_read_is_refused_in_a_sentence_or_read_in_time(name: str) -> None:
    read, strategy, examples = READERS[name]

    @seed(20261125)
    @settings(
        max_examples=examples,
        deadline=None,
        database=None,
        suppress_health_check=list(HealthCheck),
    )
    @given(strategy)
    def check(thing: object) -> None:
        tried(read, thing)

    check()
