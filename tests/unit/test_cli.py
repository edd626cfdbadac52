"""The machine form of an answer is JSON that any program reads."""

import json

from pipeline import cli
from pipeline.calls import COMMANDS


def test_what_is_no_number_is_null_in_json() -> None:
    answer = {"value": float("nan"), "parts": [1.5, float("inf"), None], "name": "damson"}
    plain = cli._finite(answer)
    assert plain == {"value": None, "parts": [1.5, None, None], "name": "damson"}
    json.dumps(plain, allow_nan=False)


def test_every_command_finds_who_answers_and_who_prints() -> None:
    for command in COMMANDS:
        assert callable(cli._find(command.answer))
        assert not command.text or callable(cli._find(command.text))
