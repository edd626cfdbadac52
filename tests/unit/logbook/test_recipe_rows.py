"""A recipe's rows read without a file, by the logbook's own settings."""

from pathlib import Path

import pytest

from pipeline.logbook.recipe_rows import read_recipe_rows

ROW = {"recipe": "Plum", "day": "0", "kind": "sugar", "ingredient": "sugar"}


@pytest.fixture
def folder(tmp_path: Path) -> Path:
    (tmp_path / "logbook.toml").write_text('decimal = ","\ngallon = "us"\n', encoding="utf-8")
    return tmp_path


def test_rows_are_read_by_the_settings_of_the_logbook(folder: Path) -> None:
    water = ROW | {"kind": "water", "ingredient": "water", "amount": "to 1 gal"}
    typed, problems = read_recipe_rows(folder, [ROW | {"amount": "1,5 kg"}, water])
    assert problems.is_empty()
    assert typed.select("line", "amount_kg", "is_to_mark").rows() == [
        (2, 1.5, False),
        (3, None, True),
    ]
    assert typed["amount_l"][1] == pytest.approx(3.785411784)
    assert [path.name for path in folder.iterdir()] == ["logbook.toml"]


def test_what_cannot_be_read_is_a_problem_and_no_row(folder: Path) -> None:
    typed, problems = read_recipe_rows(folder, [ROW | {"amount": "some"}, ROW | {"amount": "2 lb"}])
    assert typed["line"].to_list() == [3]
    assert problems.select("line", "column").rows() == [(2, "amount")]
