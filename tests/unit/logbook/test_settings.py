"""logbook.toml: values, defaults and what is said when one cannot be meant."""

from pathlib import Path

import pytest

from pipeline.errors import LogbookError
from pipeline.logbook.settings import Settings, read_settings, settings_from


def test_defaults_without_a_file(tmp_path: Path) -> None:
    settings, problems = read_settings(tmp_path)
    assert (settings, problems) == (Settings(), [])
    assert settings.gallon is None


def test_every_setting() -> None:
    settings, problems = settings_from(
        {
            "gallon": "us",
            "dates": "month-first",
            "decimal": ",",
            "currency": "EUR",
            "show": "us",
            "bottle": "375 mL",
            "harsh_from": 6,
            "score_out_of": 100,
            "hydrometer": {"calibrated_at": "60 F", "offset": 0.004},
            "counts": {"Sulphite  Tablet": "0.44 g", "yeast packet": "5 g"},
        }
    )
    assert problems == []
    assert settings == Settings(
        gallon="us",
        dates="month-first",
        decimal=",",
        currency="EUR",
        show="us",
        bottle_l=0.375,
        harsh_from=6.0,
        score_out_of=100.0,
        hydrometer_calibrated_at_c=pytest.approx(15.5556, abs=1e-4),
        hydrometer_offset=0.004,
        counts={"sulphite tablet": pytest.approx(0.00044), "yeast packet": 0.005},
    )


@pytest.mark.parametrize(
    ("given", "sentence"),
    [
        ({"gallon": "uk"}, 'gallon must be "us" or "imperial", got \'uk\''),
        ({"dates": "dmy"}, 'dates must be "day-first" or "month-first"'),
        ({"decimal": "point"}, 'decimal must be "." or ","'),
        ({"show": "si"}, 'show must be "metric" or "us" or "imperial"'),
        ({"currency": 5}, "currency must be a text"),
        ({"bottle": "1 pt"}, 'bottle must be a quantity such as "750 mL"'),
        ({"bottle": 750}, 'bottle must be a quantity such as "750 mL"'),
        ({"bottle": "0 mL"}, 'bottle must be a likely size, such as "750 mL"'),
        ({"harsh_from": 11}, "harsh_from must be a number from 0 to 10"),
        ({"harsh_from": True}, "harsh_from must be a number from 0 to 10"),
        ({"score_out_of": "20"}, "score_out_of must be a number from 1 to 1000"),
        ({"hydrometer": {"calibrated_at": 20}}, 'calibrated_at must be a quantity such as "20 C"'),
        ({"hydrometer": {"offset": 1.004}}, "offset must be a number from -0.02 to 0.02"),
        ({"counts": {"tablet": "1 mL"}}, "must be a weight such as \"0.44 g\", got '1 mL'"),
        ({"counts": ["0.44 g"]}, r"\[counts\] must be a table"),
    ],
)
def test_what_cannot_be_meant(given: dict, sentence: str) -> None:
    with pytest.raises(LogbookError, match=sentence):
        settings_from(given)


def test_all_faults_are_named_at_once() -> None:
    with pytest.raises(LogbookError, match=r"gallon .*; score_out_of "):
        settings_from({"gallon": "uk", "score_out_of": -1})


def test_a_mistyped_name_changes_nothing_and_says_so() -> None:
    settings, problems = settings_from({"galon": "us", "hydrometer": {"ofset": 0.1}})
    assert settings == Settings()
    assert [(problem.column, problem.hint) for problem in problems] == [
        ("galon", "gallon"),
        ("hydrometer.ofset", "hydrometer.offset"),
    ]


@pytest.mark.parametrize("content", [b"gallon = us", b"\xff\xfe", b"[counts", b"gallon"])
def test_a_file_that_is_no_toml(tmp_path: Path, content: bytes) -> None:
    (tmp_path / "logbook.toml").write_bytes(content)
    with pytest.raises(LogbookError, match=r"logbook.toml cannot be read: .*an equals sign"):
        read_settings(tmp_path)
