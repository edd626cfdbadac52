"""One batch's story from a small real logbook: rows as written, days, volumes, cautions."""

from datetime import date, datetime

import pytest
from unit.advice.logbook import FILES

from pipeline.advice import story
from pipeline.cellar import load_cellar


def test_every_row_that_names_a_batch_is_told_by_date(cellar):
    rows = story.batch_log(cellar, "sweet")
    assert [row.table for row in rows].count("additions") == 5
    assert len(rows) == 1 + 5 + 3 + 2 + 2
    moments = [row.happened_at for row in rows]
    assert moments == sorted(moments)
    assert rows[0] == story.LogRow(
        datetime(2026, 1, 1),
        "batches",
        "batches.csv",
        2,
        {"started_on": "2026-01-01", "target_volume": "4 L", "status": "ageing"},
        False,
    )


def test_rows_set_aside_are_told_with_their_day_where_it_can_be_read(tmp_path):
    files = FILES | {
        "readings.csv": "batch_id,taken_on,gravity\nsweet,2026-02-01,1090\n sweet ,soon,1.09\n"
        "other,2026-02-01,1.09\n"
    }
    for name, text in files.items():
        (tmp_path / name).write_text(text, encoding="utf-8")
    cellar = load_cellar(tmp_path, today=date(2026, 8, 1))
    read = [row for row in story.batch_log(cellar, "sweet") if row.table == "readings"]
    assert [(row.happened_at, row.line, row.is_set_aside) for row in read] == [
        (datetime(2026, 2, 1), 2, True),
        (None, 3, True),
    ]
    assert story.batch_log(cellar, "sweet")[-1].cells == {"taken_on": "soon", "gravity": "1.09"}


def test_what_was_done_is_told_by_day(cellar):
    done = story.events(cellar, "sweet").rows()
    assert done == [
        (0.0, "added", "damson 1.5 kg; water 4 L; sugar 1 kg"),
        (31.0, "added", "bentonite 2 g"),
        (31.0, "racked", ""),
        (91.0, "racked", ""),
        (151.0, "added", "potassium metabisulphite 0.4 g"),
    ]
    assert (4.0, "strained", "") in story.events(cellar, "working").rows()


def test_volumes_run_from_the_must_to_the_last_vessel(cellar):
    found = story.volumes(cellar, "sweet")
    assert found["stage"].to_list() == ["must", "strained", "racked", "racked"]
    assert found["is_measured"].to_list() == [False, False, True, True]
    batch = cellar.batch("sweet")
    assert found["volume_l"].to_list() == pytest.approx(
        [batch["liquid_l"], batch["strained_expected_l"], 4.2, 3.8]
    )
    assert found["topped_up_l"].to_list() == [None, None, None, 0.2]
    assert story.volumes(cellar, "working")["stage"].to_list() == ["must", "strained"]


def test_the_balance_stands_beside_the_other_batches(cellar):
    found = {row["measure"]: row for row in story.balance(cellar, "dry").iter_rows(named=True)}
    # pH of the others: sweet 3.4, working 3.5, flat 4.2.
    assert {name: found["ph"][name] for name in ("value", "middle", "low", "high", "others")} == {
        "value": 3.6,
        "middle": 3.5,
        "low": 3.4,
        "high": 4.2,
        "others": 3,
    }
    assert story.balance(cellar, "blind").is_empty()


def test_costs_are_counted(cellar):
    assert story.costs(cellar, "sweet") == (0, 5)


@pytest.mark.parametrize(
    ("batch", "due", "not_due"),
    [
        ("sweet", {"stone_kernels", "sulphite", "fining_allergens", "glass"}, {"raw_elderberry"}),
        ("dry", {"stone_kernels"}, {"carbon_dioxide", "sulphite"}),
        ("working", {"carbon_dioxide", "mould"}, {"strong_wine"}),
        ("flat", {"low_acid", "copper"}, {"stone_kernels"}),
    ],
)
def test_cautions_are_those_of_the_batch(cellar, batch, due, not_due):
    codes = {caution["code"] for caution in story.batch_cautions(cellar, batch)}
    assert due <= codes
    assert not not_due & codes
