"""Rows with faults: which comes first, what is marked, what is said of each."""

import ast
from pathlib import Path

import polars as pl
import pytest

from pipeline.logbook.problems import Problem, problem_frame
from pipeline.show import words_problems as words
from pipeline.show.faults import FaultyRow, faulty_rows, narrowed, of_rows, waiting
from pipeline.show.words_rules import rule_words

LOGBOOK = Path(words.__file__).parents[1] / "logbook"
PROBLEMS = problem_frame(
    [
        Problem("notice", "additions.csv", None, None, "é", "encoding-guessed", "look"),
        Problem("notice", "additions.csv", 4, "ingredient", "dap", "powder-unsure", "may be two"),
        Problem("error", "additions.csv", 3, "batch_id", "A", "batch-set-aside", "its batch"),
        Problem("error", "additions.csv", 5, None, "A,1,2,3", "row-cells", "too many"),
        Problem("error", "batches.csv", 2, "started_on", "soon", "not-a-date", "no date", "such"),
        Problem("warning", "batches.csv", 2, "yeast", "X", "spelled-two-ways", "two ways."),
        Problem("warning", "readings.csv", 1, "ph", None, "unknown-column", "not used"),
    ]
)
FILES = pl.DataFrame(
    {
        "file": ["batches.csv", "additions.csv", "readings.csv"],
        "contract_file": ["batches", "additions", "readings"],
        "rows_read": [1, 3, 0],
        "rows_set_aside": [1, 2, 0],
    }
)
RAW = {
    "batches": pl.DataFrame(
        {
            "line": [2],
            "started_on": ["soon"],
            "yeast": ["X"],
            "notes": [None],
            "is_set_aside": [True],
        }
    ),
    "additions": pl.DataFrame({"line": [3, 4, 5], "ingredient": ["plum", "dap", None]}),
    "readings": pl.DataFrame({"line": []}, schema={"line": pl.Int64}),
}


@pytest.fixture
def rows():
    return faulty_rows(PROBLEMS, FILES, RAW)


def test_what_helps_most_comes_first_and_what_waits_last(rows):
    assert [(row.file, row.line) for row in rows] == [
        ("batches.csv", 2),
        ("additions.csv", 5),
        ("readings.csv", 1),
        ("additions.csv", None),
        ("additions.csv", 4),
        ("additions.csv", 3),
    ]
    assert waiting(PROBLEMS) == 1


def test_all_that_is_said_of_a_row_stands_together_with_its_cells_marked(rows):
    first = rows[0]
    assert first.marked == ["started_on", "yeast"]
    assert words.shown_cells(first) == [("started_on", "soon", True), ("yeast", "X", True)]
    assert words.fault_lines(first) == [
        "started_on: No date. Instead: such (set aside).",
        "yeast: Two ways (loaded, but look).",
    ]


def test_an_empty_cell_at_fault_is_shown_empty():
    problem = {"column": "ph", "rule": "missing", "value": None}
    row = FaultyRow("readings.csv", 2, (problem,), {"batch_id": "A", "ph": None, "ta": None})
    assert words.shown_cells(row) == [("batch_id", "A", False), ("ph", "(empty)", True)]


@pytest.mark.parametrize(
    ("at", "sentence"),
    [
        (0, ""),
        (1, ""),
        (2, "Mend it in readings.csv itself and save it; it is read again."),
        (3, "Mend it in additions.csv itself and save it; it is read again."),
    ],
)
def test_what_cannot_be_mended_here_says_where(rows, at, sentence):
    assert words.mend_elsewhere(rows[at]) == sentence


def test_a_row_that_cannot_be_cut_is_shown_whole(rows):
    assert (rows[1].cells, rows[1].raw) == ({}, "A,1,2,3")
    assert words.place(rows[1]) == "additions.csv, line 5"


def test_problems_are_narrowed_and_counted():
    assert narrowed(PROBLEMS, "error", None, None).height == 3
    assert narrowed(PROBLEMS, "error", "additions.csv", "row-cells")["line"].to_list() == [5]
    assert of_rows(PROBLEMS, [("batches.csv", 2), ("batches.csv", 9)]).height == 2
    counts = words.fault_counts(PROBLEMS)
    assert counts["times"].sum() == PROBLEMS.height
    assert counts["level"].unique(maintain_order=True).to_list() == list(words.LEVEL_WORDS.values())


@pytest.mark.parametrize(
    ("read", "aside", "warnings", "sentence"),
    [
        (0, 0, 0, "The logbook has no rows yet, so nothing in it can be wrong."),
        (4, 0, 0, "All 4 rows could be read, and nothing in them looks odd."),
        (4, 1, 0, "1 row of 4 could not be used."),
        (4, 2, 1, "2 rows of 4 could not be used and 1 cell wants a look."),
        (4, 0, 2, "2 cells want a look."),
    ],
)
def test_the_answer_counts_rows_and_cells(read, aside, warnings, sentence):
    files = pl.DataFrame({"rows_read": [read], "rows_set_aside": [aside]})
    one = Problem("warning", "readings.csv", 2, "ph", "3", "range", "a range")
    problems = problem_frame([one._replace(line=line) for line in range(warnings)])
    assert words.problems_answer(problems, files) == sentence


def test_what_became_of_a_cell_is_said():
    left = [{"file": "a.csv", "line": 2, "column": "ph", "message": "too high", "hint": "3.4"}]
    assert words.mended_answer("a.csv, line 2", "ph", "", []) == (
        "Written: a.csv, line 2, ph is now empty. Nothing is wrong with that row any more."
    )
    assert words.mended_answer("a.csv, line 2", "", "x", left) == (
        "Written: a.csv, line 2, the row was typed anew. Still to look at: a.csv line 2, ph: Too "
        "high. Instead: 3.4."
    )
    assert words.refused_answer(left) == "Not written. a.csv line 2, ph: Too high. Instead: 3.4."


def _rules() -> set[str]:
    found = set()
    for path in LOGBOOK.glob("*.py"):
        for node in ast.walk(ast.parse(path.read_text(encoding="utf-8"))):
            if not isinstance(node, ast.Call):
                continue
            name = getattr(node.func, "id", getattr(node.func, "attr", ""))
            parts = [keyword.value for keyword in node.keywords if keyword.arg == "rule"]
            parts += node.args[:1] if name == "Fault" else []
            parts += node.args[5:6] if name == "Problem" else []
            found |= {
                leaf.value
                for part in parts
                for leaf in ast.walk(part)
                if isinstance(leaf, ast.Constant) and isinstance(leaf.value, str)
            }
    return found - {"rule"}


@pytest.mark.parametrize("rule", sorted(_rules()))
def test_every_rule_has_its_words(rule):
    assert rule_words(rule) != rule
    assert "-" not in rule_words(rule)
