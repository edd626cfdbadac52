"""The recipe sheet: scaling, the vessel, the plan of steps and its calendar."""

from datetime import date

import pytest
from icalendar import Calendar

from pipeline.advice import sheet
from pipeline.advice.bench.wishes import read_start
from pipeline.advice.sheet.calendar import calendar_of
from pipeline.advice.sheet.scale import yeast_factor
from pipeline.advice.sheet.steps import plan_steps
from pipeline.errors import CannotSayError, HedgerowError, UnknownNameError

START = date(2026, 9, 12)


def _line(data, kind, day=0.0):
    return next(line for line in data["lines"] if line["kind"] == kind and line["day"] == day)


def _steps(data):
    return [(step["code"], step["day"]) for step in data["steps"]]


def test_everything_goes_by_the_litre_but_the_yeast(cellar):
    data = sheet.answer(cellar, "plum", 10.0, START)
    assert data["factor"] == 2.5
    assert _line(data, "fruit")["amount_kg"] == pytest.approx(5.0)
    assert _line(data, "water")["amount_l"] == pytest.approx(7.5)
    assert _line(data, "sulphite")["powder"]["grams"]["value"] == pytest.approx(1.0)
    assert _line(data, "yeast", 1.0)["pieces"] == 1
    enzyme = _line(data, "enzyme")["powder"]
    assert enzyme["level_teaspoons"] == pytest.approx(1.25, abs=0.02)
    assert enzyme["grams"]["high"] / enzyme["grams"]["value"] == pytest.approx(1.2)


def test_sulphite_is_never_offered_by_the_spoon(cellar):
    powder = _line(sheet.answer(cellar, "Plum", None, START), "sulphite")["powder"]
    assert powder["level_teaspoons"] is None
    assert powder["solution_10_percent_ml"] == pytest.approx(4.0)


@pytest.mark.parametrize(("litres", "packets"), [(4.0, 1), (20.0, 1), (20.5, 2), (None, 1)])
def test_a_second_packet_only_for_a_large_batch(litres, packets):
    assert yeast_factor(litres) == packets


def test_scaling_there_and_back_changes_nothing(cellar):
    small, large = (sheet.answer(cellar, "Plum", litres, START) for litres in (4.0, 12.0))
    for one, three in zip(small["lines"], large["lines"], strict=True):
        if one["kind"] != "yeast" and one["amount_kg"] is not None:
            assert three["amount_kg"] / 3 == pytest.approx(one["amount_kg"])
    assert small["expected"]["original_gravity"] == pytest.approx(
        large["expected"]["original_gravity"]
    )


def test_vessel_has_room_for_fruit_and_foam(cellar):
    vessel = sheet.answer(cellar, "Plum", None, START)["vessel"]
    # 3 L of water, 2 kg of plums and 1.1 kg of sugar in all.
    assert vessel["filled_l"] == pytest.approx(3 + 2 / 1.03 + 0.618 * 1.1, abs=0.02)
    assert vessel["smallest_l"] == pytest.approx(1.2 * vessel["filled_l"])


def test_plan_follows_the_recipe_then_the_wine(cellar):
    data = sheet.answer(cellar, "Plum", None, START)
    assert _steps(data)[:6] == [
        ("start", 0),
        ("enzyme", 0),
        ("yeast", 1),
        ("stir", 1),
        ("feed", 4),
        ("fruit_out", 7),
    ]
    codes = [code for code, _ in _steps(data)]
    assert codes[6:] == [
        *("rack", "rack", "cold", "check", "stabilise", "sweeten", "bottle"),
        *("taste", "taste", "taste"),
    ]
    assert data["steps"][0]["date"] == "2026-09-12"
    stir = data["steps"][3]
    assert (stir["date"], stir["until"]) == ("2026-09-13", "2026-09-18")
    assert data["steps"][1]["cooler_than_c"] == 45


def test_every_line_goes_in_at_exactly_one_step(cellar):
    for recipe in ("Plum", "Bare", "Wild"):
        data = sheet.answer(cellar, recipe, None, START)
        gone_in = [line for step in data["steps"] for line in step["lines"]]
        assert sorted(gone_in) == [
            line["line"] for line in sorted(data["lines"], key=lambda line: line["line"])
        ]


def test_sorbate_of_the_recipe_waits_for_the_wine(cellar):
    data = sheet.answer(cellar, "Wild", None, START)
    stabilise = [step for step in data["steps"] if step["code"] == "stabilise"]
    assert len(stabilise) == 1
    assert stabilise[0]["is_guide"]
    assert len(stabilise[0]["lines"]) == 1


def test_what_is_taken_by_default_is_said(cellar):
    texts = " ".join(doubt["text"] for doubt in sheet.answer(cellar, "Bare")["doubts"])
    assert "does not say when the fruit comes out: 10 days" in texts
    assert "does not say how often to rack: twice" in texts
    assert "no yeast is written" in texts


def test_doses_that_look_like_slips_are_said(cellar):
    data = sheet.answer(cellar, "Wild", None, START)
    texts = " ".join(doubt["text"] for doubt in data["doubts"])
    assert "yeast and sulphite stand on the same day" in texts
    assert "nearly always a slip" in texts
    assert "how much 'moonstone' weighs is not known" in texts
    assert data["next_step"].startswith("Weigh the moonstone once")


def test_rackings_are_as_the_recipe_says():
    lines = [{"day": 0.0, "kind": "juice", "line": 2, "ingredient": "apple"}]
    codes = [step.code for step in plan_steps(lines, 3.0, None)]
    assert codes.count("rack") == 3
    assert "fruit_out" not in codes
    assert "sweeten" not in codes


def test_names_and_volumes_that_will_not_do(cellar):
    with pytest.raises(UnknownNameError, match=r"no recipe 'Pear'.*Plum, Bare"):
        sheet.answer(cellar, "Pear")
    with pytest.raises(CannotSayError, match="'Loose' does not say what volume it is for"):
        sheet.answer(cellar, "Loose", 8.0)
    assert sheet.answer(cellar, "Loose")["factor"] == 1.0


def test_start_as_typed():
    assert read_start("12 Sep 2026", None) == START
    assert read_start("12/09/2026", "day-first") == START
    with pytest.raises(HedgerowError, match="--start '12/09/2026'"):
        read_start("12/09/2026", None)


def test_calendar_is_read_back_by_its_library(cellar):
    data = sheet.answer(cellar, "Plum", None, START)
    text = calendar_of(data, lambda step: step["text"])
    events = Calendar.from_ical(text).walk("VEVENT")
    assert len(events) == len(data["steps"])
    assert events[0].decoded("dtstart") == START
    assert str(events[0]["summary"]) == "Plum: Put the must together"
    stir = next(event for event in events if "Stir" in event["summary"])
    assert stir["rrule"]["COUNT"] == [6]
    assert len({str(event["uid"]) for event in events}) == len(events)


def test_the_same_plan_read_twice_is_one_plan(cellar):
    data = sheet.answer(cellar, "Plum", None, START)
    names = [
        [str(event["uid"]) for event in Calendar.from_ical(calendar_of(data, str)).walk("VEVENT")]
        for _ in range(2)
    ]
    assert names[0] == names[1]
