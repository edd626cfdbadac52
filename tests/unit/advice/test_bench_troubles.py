"""Signs of trouble in the logbook, and what most makers do about them."""

from dataclasses import replace

from pipeline.advice.bench.readings import read_wine
from pipeline.advice.bench.troubles import TROUBLES, find_troubles


def _signs(cellar, batch):
    return [trouble["sign"] for trouble in find_troubles(cellar, read_wine(cellar, batch))]


def test_a_must_that_never_started_is_not_called_stuck(cellar):
    assert _signs(cellar, "asleep") == ["no_start"]
    assert "labels of juice" in TROUBLES["no_start"].steps[0]


def test_a_sound_wine_shows_nothing(cellar):
    assert _signs(cellar, "working") == []


def test_stuck_is_its_own_trouble(cellar):
    assert _signs(cellar, "sweet") == ["stuck"]
    assert "starter" in TROUBLES["stuck"].steps[-1]


def test_smell_and_haze_as_tasters_named_them(cellar):
    found = find_troubles(cellar, read_wine(cellar, "flat"))
    assert [trouble["sign"] for trouble in found] == ["sulphury", "hazy"]
    assert "no dose of copper" in found[0]["steps"][-1]


def test_haze_in_a_starchy_fruit_points_at_starch_first(cellar):
    haze = find_troubles(cellar, read_wine(cellar, "flat"))[1]
    assert haze["steps"][0].startswith("its fruit holds starch")
    assert any("pour the sample away" in step for step in haze["steps"])
    plum = replace(read_wine(cellar, "dry"), faults=frozenset({"hazy"}))
    assert not find_troubles(cellar, plum)[0]["steps"][0].startswith("its fruit")
