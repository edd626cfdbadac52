"""What the terminal prints: every line present, whatever people call their batches."""

import copy

import pytest
from unit.show import samples

from pipeline.show import text_advice, text_findings, text_models
from pipeline.show.answer import Answer
from pipeline.show.units import Units

HOSTILE = "[b]plum[/b] <i>&amp; $x$ *y* \\"


@pytest.fixture(autouse=True)
def _wide(monkeypatch):
    monkeypatch.setenv("COLUMNS", "160")


def _answer(data):
    return Answer(data, Units(currency="GBP"))


def _hostile(data, old):
    """The same answer with one name replaced by one that looks like markup."""
    if isinstance(data, dict):
        return {key: _hostile(value, old) for key, value in data.items()}
    if isinstance(data, list):
        return [_hostile(value, old) for value in data]
    return HOSTILE if data == old else data


CASES = [
    (text_models.volume, samples.VOLUME, "rhubarb"),
    (text_models.yeasts, samples.YEASTS, "Lantern"),
    (text_models.harsh, samples.HARSH_BATCH, "2025-09"),
    (text_advice.compare, samples.COMPARE, "damson dry"),
    (text_advice.predict, samples.PREDICT, "damson dry"),
    (text_advice.suggest, samples.SUGGEST, "damson dry"),
    (text_findings.findings, samples.FINDINGS, "rhubarb"),
]


@pytest.mark.parametrize(("show", "data", "name"), CASES)
def test_names_are_printed_as_typed(show, data, name, capsys):
    show(_answer(_hostile(copy.deepcopy(data), name)))
    assert HOSTILE.lower() in capsys.readouterr().out.lower()


def test_findings_answer_the_three_questions_and_say_what_to_type_next(capsys):
    text_findings.findings(_answer(samples.FINDINGS))
    out = capsys.readouterr().out
    for question in (
        "Which fruit loads give full volume?",
        "How does finished gravity compare across yeasts?",
        "Why do some batches taste harsh?",
    ):
        assert question in out
    assert "1050 rows read, 9 set aside" in out
    assert "hedgerow volume hedgerow-demo --fruit rhubarb" in out
    assert "hedgerow harsh hedgerow-demo 2025-09" in out
    assert "hedgerow app hedgerow-demo" in out
    assert "Doubt. Sloe: only 2 batches." in out


def test_findings_quote_a_folder_with_a_blank_and_need_no_harsh_batch(capsys):
    data = samples.FINDINGS | {"folder": "my logbook", "harsh_batch": None, "files": []}
    text_findings.findings(_answer(data))
    out = capsys.readouterr().out
    assert "hedgerow harsh 'my logbook'" in out
    assert "0 rows read, 0 set aside." in out


def test_findings_show_the_driest_and_the_sweetest_of_many_yeasts(capsys):
    many = [samples.yeast(f"Strain {n}", 5, 0.99 + n / 1000, 0.001) for n in range(12)]
    yeasts = samples.YEASTS | {"yeasts": many}
    text_findings.findings(_answer(samples.FINDINGS | {"yeasts": yeasts}))
    out = capsys.readouterr().out
    shown = [n for n in range(12) if f" Strain {n} " in out.split("yeast ")[1]]
    assert shown == [0, 1, 9, 10, 11]


def test_findings_of_an_empty_logbook_still_print(capsys):
    data = samples.FINDINGS | {
        "volume": {"fruits": []},
        "yeasts": {"yeasts": [], "pairs": []},
        "harsh": {"drivers": []},
        "harsh_batch": None,
    }
    text_findings.findings(_answer(data))
    assert "No glass has been scored" in capsys.readouterr().out


def test_one_fruit_is_shown_with_its_water(capsys):
    text_models.volume(_answer({"fruits": samples.VOLUME["fruits"][:1]}))
    out = capsys.readouterr().out
    assert "Each kg of banana keeps back" in out
    assert "water, times the volume aimed at" in out


def test_fit_prints_every_model_beside_its_baselines(capsys):
    text_models.fit(_answer(samples.FIT))
    out = capsys.readouterr().out
    assert "Finished gravity: off by 0.0021" in out
    assert "mean of the same fruit" in out


def test_drivers_print_doubts_and_what_cannot_be_told(capsys):
    text_models.harsh(_answer(samples.HARSH))
    out = capsys.readouterr().out
    assert "Cannot tell yet whether these matter: pectic enzyme." in out
    assert "Pectic enzyme: hardly any." in out


def test_a_long_list_is_cut_with_the_rest_counted(capsys):
    text_models.say("Doubts", [f"doubt {n}." for n in range(9)])
    out = capsys.readouterr().out
    assert "doubt 5." in out
    assert "doubt 6." not in out
    assert "and 3 more" in out
    text_models.say("Doubts", [])
    assert capsys.readouterr().out == ""
