"""`--explain` on a whole logbook: no number of an answer is left untold, and sums add up."""

import json

import makers
import pytest

from pipeline.advice.explain.numbers import numbers_of
from pipeline.cli import main

DIGITS = 1e-9


@pytest.fixture(scope="module")
def logbook(tmp_path_factory):
    """A simulated maker with enough batches for every model to speak."""
    folder = tmp_path_factory.mktemp("logs") / "maker"
    return makers.write(makers.simulate(11, 60, planned=3, draws=5), folder)


@pytest.fixture
def asked(logbook, capsys):
    """Ask a question with --explain; return the answer without its explanation, and the steps."""

    def ask(command, *words):
        assert main([command, str(logbook), *words, "--explain", "--json"]) == 0
        data = json.loads(capsys.readouterr().out)
        return data, data.pop("explain")

    return ask


@pytest.fixture(scope="module")
def names(logbook):
    """Two batches, a recipe that several batches follow, and two planned recipes."""
    from pipeline.cellar import load_cellar

    cellar = load_cellar(logbook)
    batches = cellar.table("batches")
    tasted = batches.filter(batches["harshness"].is_not_null())["batch_id"].to_list()
    counts = batches["recipe"].value_counts(sort=True)
    planned = cellar.table("staged_recipes")["recipe"].unique(maintain_order=True).to_list()
    return {"batches": tasted[:2], "repeated": counts["recipe"][0], "planned": planned[:2]}


def _call(command, names):
    one, two = names["batches"]
    plan, other = names["planned"]
    return {
        "fit": (),
        "predict": (plan, other, "--fill", "80", "--keep", "proportions"),
        "suggest": (plan,),
        "compare": (one, names["repeated"], plan),
        "harsh": (one,),
        "volume": (),
        "yeasts": (),
        "bench": (two,),
        "sheet": (plan, "--volume", "9 L"),
        "tasting": (one, two),
        "trial": (plan, "--tasters", "4"),
    }[command]


COMMANDS = ("fit", "predict", "suggest", "compare", "harsh", "volume", "yeasts", "bench", "sheet")


@pytest.mark.parametrize("command", [*COMMANDS, "tasting", "trial"])
def test_no_number_of_an_answer_is_left_untold(command, asked, names):
    data, steps = asked(command, *_call(command, names))
    told = {path for step in steps for path in step["answers"]}
    assert [number.path for number in numbers_of(data) if number.path not in told] == []
    assert told


@pytest.mark.parametrize("command", ["predict", "suggest", "compare", "harsh", "volume", "yeasts"])
def test_what_the_batches_taught_adds_up_to_the_number(command, asked, names):
    data, steps = asked(command, *_call(command, names))
    singles = {number.path: number.single for number in numbers_of(data)}
    told = [step for step in steps if step["parts"]]
    assert told
    for step in told:
        total = sum(part["value"] for part in step["parts"])
        assert total == pytest.approx(step["value"], abs=DIGITS), step["measure"]
        for path in step["answers"]:
            assert singles[path] == pytest.approx(step["value"], abs=DIGITS)


def test_a_model_is_said_to_be_tried_on_the_very_batches_it_was_tried_on(asked, logbook):
    data, steps = asked("fit")
    lines = (logbook / "batches.csv").read_text(encoding="utf-8")
    for name, model in data["models"].items():
        for where, trial in ((f"models.{name}", model), (None, model["next_season"])):
            path = f"{where or f'models.{name}.next_season'}.batches"
            step = next(one for one in steps if path in one["answers"])
            assert len(step["rests_on"]["all"]) == trial["batches"], path
            assert all(batch in lines for batch in step["rests_on"]["all"])


def test_what_is_poured_to_fill_a_vessel_is_said_to_be_so(asked, names):
    data, steps = asked("predict", names["planned"][0], "--fill", "95")
    changes = data["recipes"][0]["fill"]["changes"]
    told = {path: step["by"] for step in steps for path in step["answers"]}
    assert changes
    for at in range(len(changes)):
        assert told[f"recipes[0].fill.changes[{at}].to_si"] == "advice.fill"


def test_what_goes_with_harshness_over_all_batches_is_told_too(asked):
    data, steps = asked("harsh")
    told = {path for step in steps for path in step["answers"]}
    assert {number.path for number in numbers_of(data)} == told


def test_a_forecast_names_the_batches_it_rests_on(asked, names, logbook):
    _, steps = asked("predict", names["planned"][0])
    step = next(one for one in steps if one["answers"] == ["recipes[0].finished_fraction"])
    closest = step["rests_on"]["closest"]
    lines = (logbook / "batches.csv").read_text(encoding="utf-8").splitlines()
    assert closest
    for batch in closest:
        assert batch["batch"] in lines[batch["line"] - 1]
    everything = next(one for one in steps if one["of"] == "volume model")
    assert len(everything["rests_on"]["all"]) == step["rests_on"]["batches"]


def test_a_suggested_recipe_is_traced_in_the_size_suggested(asked, names):
    data, steps = asked("suggest", names["planned"][0])
    of_after = [step for step in steps if step["of"] == data["after"]["recipe"]]
    assert of_after
    cells = [cell for step in of_after for cell in step["from"] if cell["file"] == "recipes.csv"]
    assert cells
    for change in data["changes"]:
        if change["field"] == "amount" and change["line"] is not None:
            written = [cell["as_written"] for cell in cells if cell["line"] == change["line"]]
            assert any(f"changed to {change['to']}" in (text or "") for text in written)


def test_nothing_is_explained_unless_it_is_asked_for(logbook, names, capsys):
    assert main(["predict", str(logbook), names["planned"][0], "--json"]) == 0
    assert "explain" not in json.loads(capsys.readouterr().out)


def test_the_way_is_printed_below_the_answer(logbook, names, capsys):
    assert main(["predict", str(logbook), names["planned"][0], "--explain"]) == 0
    out = " ".join(capsys.readouterr().out.split())
    answer, _, way = out.partition("Where the numbers come from")
    assert "In brackets" in answer
    assert "recipes.csv line" in way
    assert "learnt from" in way
    assert "most like it" in way
    assert "worked out beforehand" in way
    assert "sql/360_must_amounts.sql" in way
    assert "enology.dissolving.dissolved_sugar_volume" in way
    for word in ("_kg", "_l ", "None", "nan"):
        assert word not in way
