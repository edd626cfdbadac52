"""A split batch from the question to the answer: asked for, logged as told, recognised, judged."""

import csv
import json
from datetime import date, timedelta
from pathlib import Path
from types import SimpleNamespace

import makers
import pytest
from makers.arms import Luck, pour_arms
from makers.changes import changed_plans
from makers.taste import ATTRIBUTES

from pipeline.cellar import load_cellar
from pipeline.cli import main

pytestmark = pytest.mark.slow  # models fitted and tried, logbook after logbook

BEGUN = date(2026, 1, 10)


@pytest.fixture(scope="module")
def maker():
    return makers.simulate(300, 40, planned=6, draws=4)


@pytest.fixture(scope="module")
def folder(maker, tmp_path_factory):
    return makers.write(maker, tmp_path_factory.mktemp("trial") / "club")


def _asked(folder, recipe, capsys, *more):
    status = main(["trial", str(folder), recipe, *more, "--json"])
    return status, json.loads(capsys.readouterr().out)


@pytest.fixture(scope="module")
def on_skins(folder, maker):
    """A recipe whose trial is about the skins, and the answer."""
    from pipeline.advice import trial
    from pipeline.learning import fit_models

    cellar = load_cellar(folder)
    models = fit_models(cellar)
    answers = (trial.answer(cellar, models, recipe) for recipe in maker.planned_recipes)
    found = next(answer for answer in answers if answer["factor"] == "skins")
    return found, cellar.table("staged_recipes").to_dicts()


def _rows(path):
    with path.open(encoding="utf-8", newline="") as stream:
        return list(csv.DictReader(stream))


def _append(path, rows):
    with path.open(encoding="utf-8", newline="") as stream:
        header = next(csv.reader(stream))
    with path.open("a", encoding="utf-8", newline="") as stream:
        csv.DictWriter(stream, header, restval="", lineterminator="\n").writerows(rows)


def _log_arms(folder: Path, answer: dict) -> None:
    """Write both arms down as the answer says: the recipe, with what it changes."""
    recipe, ids = answer["recipe"], answer["log_as"]["batch_ids"]
    every = _rows(folder / "recipes.csv")
    whole = next(row for row in every if row["recipe"] == recipe)
    common = {"recipe": recipe, "started_on": BEGUN.isoformat(), "extraction": "cold"}
    common |= {"yeast": whole["yeast"], "target_volume": whole["target_volume"]}
    _append(folder / "batches.csv", [common | {"batch_id": name} for name in ids])
    for name, arm in zip(ids, answer["arms"], strict=True):
        changes = {change["line"]: change for change in arm["changes"]}
        for line, row in enumerate(every, start=2):
            if row["recipe"] != recipe:
                continue
            change = changes.get(line)
            written = row | ({} if change is None else {change["field"]: change["to"]})
            out = written.pop("removed_day", "")
            removed = "" if not out else (BEGUN + timedelta(days=float(out))).isoformat()
            added = (BEGUN + timedelta(days=float(row["day"]))).isoformat()
            kept = ("kind", "ingredient", "amount", "form", "skins", "ripeness")
            _append(
                folder / "additions.csv",
                [
                    {key: written[key] for key in kept}
                    | {"batch_id": name, "added_on": added, "removed_on": removed}
                ],
            )


def _taste(folder: Path, maker: makers.Maker, answer: dict, lines: list, evenings: int) -> None:
    sets = [
        [SimpleNamespace(**change, after=change["to"], after_si=None, cells={}, row=None)]
        for change in answer["arms"][1]["changes"][:1]
    ]
    mine = [line for line in lines if line["recipe"] == answer["recipe"]]
    plans = changed_plans(maker, answer["recipe"], mine, [[], *sets])
    glasses = pour_arms(maker, plans, Luck(1, 2), answer["log_as"]["batch_ids"], evenings=evenings)
    kept = ("batch_id", "tasted_on", "taster", "score", *ATTRIBUTES)
    rows = [{key: row[key] for key in kept} | {"blind": "yes"} for row in glasses.to_dicts()]
    _append(folder / "tastings.csv", rows)


def test_a_trial_is_asked_for_logged_as_told_recognised_and_judged(
    on_skins, folder, maker, capsys, tmp_path
):
    answer, lines = on_skins
    own = tmp_path / "club"
    own.mkdir()
    for path in folder.iterdir():
        if path.is_file():
            (own / path.name).write_bytes(path.read_bytes())
    assert answer["settled"] == []
    _log_arms(own, answer)
    status, begun = _asked(own, answer["recipe"], capsys)
    assert status == 0
    [entry] = begun["settled"]
    assert entry["factor"] == "skins"
    assert entry["pairs"] == [answer["log_as"]["batch_ids"]]
    assert (entry["verdict"], entry["tastings"]) == ("open", 0)
    assert "nobody has marked both" in entry["why"]
    # The names told before are taken now.
    assert set(begun["log_as"]["batch_ids"]).isdisjoint(answer["log_as"]["batch_ids"])

    _taste(own, maker, answer, lines, evenings=2)
    status, tasted = _asked(own, answer["recipe"], capsys)
    [entry] = tasted["settled"]
    assert status == 0
    assert entry["tastings"] > 2
    assert entry["evenings"] == 2
    widths = (entry["interval_width_before"], entry["interval_width_after"])
    assert widths[1] < widths[0]
    # What was known before is what was told when the trial was asked for, to a tenth.
    told = answer["learns"][0]
    assert widths[0] == pytest.approx(told["interval_width_now"], rel=0.1)
    assert entry["before_mean"]["value"] == pytest.approx(told["effect_mean"]["value"], abs=0.1)
    is_known = entry["after_mean"]["low"] > 0 or entry["after_mean"]["high"] < 0
    assert entry["is_settled"] == (is_known or entry["verdict"] == "alike")
    assert main(["trial", str(own), answer["recipe"]]) == 0
    printed = " ".join(capsys.readouterr().out.split())
    assert "Already tried" in printed
    assert ("Settled:" in printed) == entry["is_settled"]


def test_the_readable_form_tells_what_to_do_and_prints_two_sheets(on_skins, folder, capsys):
    answer, _ = on_skins
    assert main(["trial", str(folder), answer["recipe"], "--tasters", "5"]) == 0
    printed = " ".join(capsys.readouterr().out.split())
    assert f"Next time you make {answer['recipe']}, split it in two" in printed
    assert "How to run it" in printed
    assert "5 tasters" in printed
    assert "fold it away" in printed
    assert "Traceback" not in printed
    assert "This asks about harshness alone" in printed


def test_the_same_seed_prints_the_same_sheet(on_skins, folder, capsys):
    recipe = on_skins[0]["recipe"]
    first, again, other = (
        _asked(folder, recipe, capsys, "--seed", seed)[1]["sheet"] for seed in "112"
    )
    assert first == again
    assert first["serving"] != other["serving"]


def test_any_two_batches_can_be_named_as_the_arms(on_skins, folder, maker, capsys):
    recipe, ids = on_skins[0]["recipe"], maker.batch_ids
    status, data = _asked(folder, recipe, capsys, "--pair", ids[0], ids[1])
    assert status == 0
    [entry] = data["settled"]
    assert entry["pairs"] == [[ids[0], ids[1]]]
    assert len(entry["factors"]) > 1
    assert "which of them made the difference cannot be told" in entry["why"]


@pytest.mark.parametrize(
    ("words", "says"),
    [
        (["no such recipe"], "There is no recipe 'no such recipe'"),
        (["{recipe}", "--pair", "a", "b"], "no batch 'a'"),
        (["{recipe}", "--pair", "{batch}", "{batch}"], "Two different batches are needed"),
        (["{recipe}", "--tasters", "0"], "--tasters must be between 1 and 200"),
    ],
)
def test_what_cannot_be_asked_is_one_sentence_and_status_two(
    words, says, on_skins, folder, maker, capsys
):
    about = {"recipe": on_skins[0]["recipe"], "batch": maker.batch_ids[0]}
    assert main(["trial", str(folder), *(word.format(**about) for word in words)]) == 2
    captured = capsys.readouterr()
    refusal = [line for line in captured.err.splitlines() if not line.startswith("…")]
    assert captured.out == ""
    assert len(refusal) == 1
    assert says in refusal[0]


@pytest.mark.parametrize(
    ("kept", "says"),
    [(0, "No batch has been tasted yet"), (5, "tasted: until there are 12")],
)
def test_too_few_tastings_are_one_sentence_and_status_one(
    kept, says, folder, maker, capsys, tmp_path
):
    own = tmp_path / "club"
    own.mkdir()
    for path in folder.iterdir():
        if path.is_file():
            (own / path.name).write_bytes(path.read_bytes())
    rows = _rows(own / "tastings.csv")
    header = list(rows[0])
    some = set(list(dict.fromkeys(row["batch_id"] for row in rows))[:kept])
    with (own / "tastings.csv").open("w", encoding="utf-8", newline="") as stream:
        writer = csv.DictWriter(stream, header, lineterminator="\n")
        writer.writeheader()
        writer.writerows(row for row in rows if row["batch_id"] in some)
    recipe = maker.planned_recipes[0]
    status, data = _asked(own, recipe, capsys)
    assert status == 1
    assert data["arms"] == data["learns"] == []
    assert says in data["why"]
    assert main(["trial", str(own), recipe]) == 1
    assert len(capsys.readouterr().out.split(". ")) <= 2
