"""What bench, sheet and tasting say to people: from the answers of a small real logbook."""

import pytest
from unit.advice.logbook import build_cellar

from pipeline.advice import bench, sheet, tasting
from pipeline.advice.bench.wishes import Wishes
from pipeline.commands_bench import write_calendar
from pipeline.errors import HedgerowError
from pipeline.show import text_bench, text_sheet, text_tasting, words_bench, words_sheet
from pipeline.show.answer import Answer
from pipeline.show.units import Units

US = Units("us")


@pytest.fixture(scope="module")
def cellar(tmp_path_factory):
    return build_cellar(tmp_path_factory.mktemp("logbook"))


def _printed(capsys, text, data):
    text(Answer(data, US))
    return " ".join(capsys.readouterr().out.split())


def test_bench_says_dose_keeping_next_step_and_where_it_comes_from(cellar, capsys):
    said = _printed(capsys, text_bench.bench, bench.answer(cellar, "sweet", Wishes(60.0)))
    assert "sweet needs about" in said
    assert "for 60 g/L" in said
    assert "Potassium metabisulphite:" in said
    assert "and no more: what is in it now is not known" in said
    assert "check your local rules" in said
    assert "pH 3.40 on 2026-04-01 (readings.csv line 3)" in said
    assert "no longer holds" in said


def test_no_caution_is_cut_short(cellar, capsys):
    data = {**sheet.answer(cellar, "Wild"), "calendar": None}
    said = _printed(capsys, text_sheet.sheet, data)
    assert len(data["cautions"]) > 10
    assert all(caution["text"] in said for caution in data["cautions"])


def test_bench_refuses_in_words(cellar, capsys):
    said = _printed(capsys, text_bench.bench, bench.answer(cellar, "blind"))
    assert "blind: no dose can be given yet; what is missing stands below." in said
    assert "Sulphite: blind has no pH that still holds" in said


def test_every_wish_has_its_sentence(cellar):
    data = bench.answer(
        cellar, "sweet", Wishes(gravity=1.002, acidity_g_l=5.5, alcohol_percent=11.0)
    )
    sentences = words_bench.bench_answers(data, US)
    assert len(sentences) == 3
    assert "of water brings sweet to 1.002" in sentences[0]
    assert "Try it first" in sentences[1]
    assert "Take acid out with one of potassium bicarbonate or calcium carbonate" in sentences[2]


def test_blend_says_parts_what_it_reaches_and_what_it_misses(cellar):
    data = bench.answer(cellar, "sweet", Wishes(acidity_g_l=5.5, blend=("dry",)))
    said = words_bench.bench_answers(data, US)[0]
    assert "of sweet (40%)" in said
    assert "5.5 g/L of acid" in said
    missed = bench.answer(cellar, "sweet", Wishes(acidity_g_l=3.0, blend=("dry",)))
    said = words_bench.bench_answers(missed, US)[0]
    assert said.startswith("Nothing to blend: dry by itself, with ")
    assert said.endswith("to the 3 g/L of acid asked for: none of these wines has as little.")
    assert missed["next_step"].startswith("Leave them apart, aim nearer")


def test_a_blend_between_two_targets_says_that_no_shares_come_nearer(cellar):
    wishes = Wishes(acidity_g_l=5.5, alcohol_percent=20.0, blend=("dry",))
    said = words_bench.bench_answers(bench.answer(cellar, "sweet", wishes), US)[0]
    assert "It misses the 20 % vol of strength asked for and the 5.5 g/L" in said
    assert said.endswith("; no other shares come nearer.")


def test_a_wine_that_has_what_was_asked_for_is_not_blended(cellar):
    acid = bench.answer(cellar, "dry")["readings"]["acidity_g_l"]["value"]
    data = bench.answer(cellar, "sweet", Wishes(acidity_g_l=acid, blend=("dry",)))
    assert words_bench.bench_answers(data, US)[0].startswith("Nothing to blend: dry by itself has ")
    assert data["next_step"].startswith("Leave them apart, or aim at something")


def test_troubles_are_told_in_order(cellar, capsys):
    said = _printed(capsys, text_bench.bench, bench.answer(cellar, "asleep"))
    assert "no start, which is not the same as stuck" in said
    assert said.index("read the labels") < said.index("make a large starter")


def test_sheet_says_amounts_vessel_and_days(cellar, capsys):
    data = {**sheet.answer(cellar, "Plum", 7.570823568), "calendar": "plan.ics"}
    said = _printed(capsys, text_sheet.sheet, data)
    assert "Plum: 2 US gal of wine" in said
    assert "yeast, Wherry 1 packet" in said
    assert "Below 113 °F" in said
    assert "The recipe aims at 20 g/L" in said
    assert "The plan is in plan.ics" in said


def test_unknown_weight_is_written_as_it_stood(cellar):
    data = sheet.answer(cellar, "Wild", 8.0)
    rows = {row[0]: row[1] for row in words_sheet.lines_listing(data, US).rows}
    assert rows["moonstone"] == "2 packets"


def test_missing_amount_leaves_the_vessel_unsaid(cellar):
    data = {**sheet.answer(cellar, "Plum"), "vessel": None}
    assert "is not known, because an amount is missing" in words_sheet.sheet_answer(data, US)


def test_tasting_hands_out_codes_and_folds_away_the_key(cellar, capsys):
    data = tasting.answer(cellar, ("sweet", "dry"), tasters=6)
    said = _printed(capsys, text_tasting.tasting, data)
    sheet_part, key_part = said.split("✂")
    assert "which is the odd one?" in sheet_part
    assert "= sweet" not in sheet_part
    assert "= sweet" in key_part
    assert "5 or more right answers are more than guessing" in said


@pytest.mark.parametrize(
    ("hits", "verdict"),
    [(8, "can be told apart"), (5, "do not tell sweet and dry apart")],
)
def test_tasting_gives_its_verdict(cellar, capsys, hits, verdict):
    data = tasting.answer(cellar, ("sweet", "dry"), tasters=12, hits=hits)
    assert verdict in _printed(capsys, text_tasting.tasting, data)


def test_scores_that_cannot_tell_say_so(cellar, capsys):
    data = tasting.answer(cellar, ("sweet", "dry"))
    said = _printed(capsys, text_tasting.tasting, data)
    assert "logged scores: dry less sweet is -2.5 points" in said
    assert "no evidence of a difference" in said


def test_calendar_that_cannot_be_written_is_refused(cellar, tmp_path):
    answer = Answer({**sheet.answer(cellar, "Plum"), "calendar": None}, US)
    with pytest.raises(HedgerowError, match="cannot be written to"):
        write_calendar(tmp_path / "missing" / "plan.ics", answer)
    write_calendar(tmp_path / "plan.ics", answer)
    assert "BEGIN:VCALENDAR" in (tmp_path / "plan.ics").read_text(encoding="utf-8")
    assert answer.data["calendar"].endswith("plan.ics")
