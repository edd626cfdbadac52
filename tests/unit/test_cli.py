"""The machine form of an answer is JSON that any program reads."""

import json

from pipeline.calls import COMMANDS, run
from pipeline.calls.overview import overview
from pipeline.calls.parser import build_parser


def test_what_is_no_number_is_null_in_json() -> None:
    answer = {"value": float("nan"), "parts": [1.5, float("inf"), None], "name": "damson"}
    plain = run._finite(answer)
    assert plain == {"value": None, "parts": [1.5, None, None], "name": "damson"}
    json.dumps(plain, allow_nan=False)


def test_every_command_finds_who_answers_and_who_prints() -> None:
    for command in COMMANDS:
        assert callable(run._find(command.answer))
        assert not command.text or callable(run._find(command.text))


def test_the_help_is_one_text_however_it_is_asked_for() -> None:
    help_ = overview()
    assert build_parser().format_help() == help_
    assert all(len(line) <= 80 for line in help_.splitlines())
    for command in COMMANDS:
        assert f"\n  {command.name} " in help_
        assert command.help.split()[-1] in help_
