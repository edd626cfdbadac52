"""The commands as somebody types them: exit status, standard output, one clear sentence."""

import json
import shutil
from pathlib import Path

import pytest

from pipeline.cli import main

WORKED = Path(__file__).parent / "worked"


@pytest.fixture
def logbook(tmp_path: Path) -> Path:
    folder = tmp_path / "my logbook"
    shutil.copytree(WORKED, folder)
    return folder


def test_check_shows_each_problem_in_its_row_and_what_to_fix_first(
    logbook: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    assert main(["check", str(logbook)]) == 0
    printed = capsys.readouterr().out
    assert "additions.csv  20 rows read, 19 loaded, 1 set aside" in printed
    assert "W4 | sugar | white sugar | [a big bag]" in printed
    assert "→ 1.082" in printed
    assert "Fix first: additions.csv line 20" in printed
    assert not (logbook / ".hedgerow").exists()


def test_check_and_load_print_the_same_json_and_nothing_else(
    logbook: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    answers = []
    for command in ("check", "load"):
        assert main([command, str(logbook), "--json"]) == 0
        answers.append(json.loads(capsys.readouterr().out))
    checked, loaded = answers
    assert list(checked) == ["files", "problems", "seconds"]
    assert list(checked["files"][0]) == ["file", "rows_read", "rows_loaded", "rows_set_aside"]
    assert list(checked["problems"][0]) == [
        *("level", "file", "line", "column", "value", "rule", "message", "hint")
    ]
    for answer in answers:
        assert answer.pop("seconds") > 0
    # Only what is loaded can say which batches want care.
    assert isinstance(loaded.pop("cautions"), list)
    assert checked == loaded


def test_strict_says_with_its_status_that_rows_were_set_aside(logbook: Path) -> None:
    assert main(["check", str(logbook), "--strict", "--json"]) == 1
    assert main(["load", str(logbook), "--strict", "--json"]) == 1


@pytest.mark.parametrize("command", ["check", "load", "fit", "volume", "yeasts", "harsh", "app"])
def test_a_missing_folder_is_one_sentence_and_status_two(
    command: str, tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    assert main([command, str(tmp_path / "nowhere")]) == 2
    captured = capsys.readouterr()
    assert captured.out == ""
    refusal = [line for line in captured.err.splitlines() if not line.startswith("…")]
    assert len(refusal) == 1
    assert "there is no folder" in refusal[0]


@pytest.mark.parametrize(
    ("content", "says"),
    [
        ({}, "batches.csv and additions.csv are missing"),
        ({"batches.csv": ""}, "batches.csv is empty"),
        ({"batches.csv": "", "additions.csv": ""}, "is empty"),
        ({"batches.csv": "recipe for jam\n", "additions.csv": "x\n"}, "batch_id"),
    ],
)
def test_an_empty_or_wrong_file_is_one_sentence_and_status_two(
    content: dict[str, str], says: str, tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    for name, text in content.items():
        (tmp_path / name).write_text(text, encoding="utf-8")
    assert main(["check", str(tmp_path)]) == 2
    captured = capsys.readouterr()
    assert captured.out == ""
    assert says in captured.err
    assert "Traceback" not in captured.err


def test_a_new_logbook_checks_clean(tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> None:
    folder = tmp_path / "wine"
    assert main(["new", str(folder)]) == 0
    assert "which gallon" in capsys.readouterr().out
    assert main(["check", str(folder), "--json"]) == 0
    answer = json.loads(capsys.readouterr().out)
    assert [p for p in answer["problems"] if p["level"] == "error"] == []
    assert all(file["rows_read"] == 1 for file in answer["files"] if file["file"] != "recipes.csv")


def test_new_never_overwrites(logbook: Path, capsys: pytest.CaptureFixture[str]) -> None:
    before = (logbook / "batches.csv").read_bytes()
    assert main(["new", str(logbook)]) == 2
    assert str(logbook) in capsys.readouterr().err
    assert (logbook / "batches.csv").read_bytes() == before


def test_demo_refuses_a_folder_that_holds_something_else(
    logbook: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    assert main(["demo", str(logbook)]) == 2
    assert "is not the demo logbook" in capsys.readouterr().err


def test_too_few_batches_to_hold_any_out_is_cannot_say(
    logbook: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    assert main(["fit", str(logbook), "--json"]) == 1
    models = json.loads(capsys.readouterr().out)["models"]
    for model in models.values():
        assert model["mae"] is None
        assert [doubt["code"] for doubt in model["doubts"]] == ["few_batches"]


def test_two_yeasts_with_a_fruit_each_get_no_verdict(
    logbook: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    assert main(["yeasts", str(logbook), "--json"]) == 0
    (pair,) = json.loads(capsys.readouterr().out)["pairs"]
    assert {doubt["code"] for doubt in pair["doubts"]} == {"few_batches"}
    difference = pair["difference"]
    assert difference["low"] < 0 < difference["high"]


def test_no_advice_rests_on_a_model_that_could_not_be_tried(
    tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    folder = tmp_path / "wine"
    assert main(["new", str(folder)]) == 0
    capsys.readouterr()
    assert main(["suggest", str(folder), "damson plain", "--json"]) == 0
    answer = json.loads(capsys.readouterr().out)
    assert answer["changes"] == []
    assert "too few to say how well it predicts" in answer["not_changed"][0]["why"]
    assert "few_batches" in [doubt["code"] for doubt in answer["before"]["doubts"]]


def test_a_trial_is_kept_beside_the_cellar_and_made_again_when_the_logbook_changes(
    logbook: Path,
) -> None:
    kept = logbook / ".hedgerow" / "heldout.json"
    assert main(["fit", str(logbook), "--json"]) == 1
    first = json.loads(kept.read_text(encoding="utf-8"))["fingerprint"]
    with (logbook / "readings.csv").open("a", encoding="utf-8") as file:
        file.write("W1,2026-02-01,0.9935,,20 C,,,,,,\n")
    assert main(["fit", str(logbook), "--json"]) == 1
    assert json.loads(kept.read_text(encoding="utf-8"))["fingerprint"] != first


def test_an_added_reading_is_there_and_counted(
    logbook: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    cells = ["batch_id=W4", "taken_on=today", "gravity=0.995"]
    assert main(["add", "reading", str(logbook), *cells]) == 0
    assert "Written: readings.csv line 15" in capsys.readouterr().out
    assert main(["check", str(logbook), "--json"]) == 0
    files = {file["file"]: file for file in json.loads(capsys.readouterr().out)["files"]}
    assert files["readings.csv"]["rows_loaded"] == 13


@pytest.mark.parametrize(
    ("cells", "says"),
    [
        (["batch_id=W4", "taken_on=today", "gravity=1090"], "instead: 1.090"),
        (["batch_id=nobody", "taken_on=today", "gravity=1.090"], "no such batch"),
        (["batch_id=W4", "gravity 1.090"], "has no '='"),
        (["batch_id=W4", "weight=3"], "has no column weight"),
    ],
)
def test_an_entry_that_does_not_pass_is_not_written(
    cells: list[str], says: str, logbook: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    before = (logbook / "readings.csv").read_bytes()
    assert main(["add", "reading", str(logbook), *cells]) == 2
    assert says in capsys.readouterr().err
    assert (logbook / "readings.csv").read_bytes() == before


def test_problems_as_a_list_to_work_through(logbook: Path, tmp_path: Path) -> None:
    with (logbook / "readings.csv").open("a", encoding="utf-8") as file:
        file.write("W1,2026-02-01,=1+1,,,,,,,,<b>loud</b>\n")
    for name in ("todo.csv", "todo.html"):
        assert main(["check", str(logbook), "--list", str(tmp_path / name), "--json"]) == 0
    table = (tmp_path / "todo.csv").read_text(encoding="utf-8-sig")
    assert table.splitlines()[0] == "level,file,line,column,value,message,hint"
    assert ",'=1+1," in table
    page = (tmp_path / "todo.html").read_text(encoding="utf-8")
    assert page.count("<tr>") == table.count("\n")
    assert "a big bag" in page


def test_a_list_has_a_known_ending(
    logbook: Path, tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    assert main(["check", str(logbook), "--list", str(tmp_path / "todo.pdf")]) == 2
    assert "ends in .csv or .html" in capsys.readouterr().err
