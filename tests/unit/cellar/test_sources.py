import gc
import weakref
from pathlib import Path

from pipeline.cellar.build import _readers
from pipeline.cellar.sources import sources_of
from pipeline.logbook import read_logbook


def test_a_logbook_does_not_stay_in_memory_beside_the_frames_made_of_it(tmp_path: Path) -> None:
    heading = "batch_id,added_on,kind,ingredient,amount\n"
    (tmp_path / "batches.csv").write_text("batch_id,started_on\nA,2025-01-01\n", encoding="utf-8")
    (tmp_path / "additions.csv").write_text(
        heading + "A,2025-01-01,sugar,sugar,some\n", encoding="utf-8"
    )
    checked = read_logbook(tmp_path)
    is_there = weakref.ref(checked)
    made = sources_of(checked)
    assert made["logbook_set_aside"]["happened_on"].null_count() == 0
    del checked
    gc.collect()
    assert is_there() is None


def test_a_frame_is_kept_until_the_last_file_that_reads_it_or_a_view_of_it() -> None:
    files = [
        "create temp view seen as select * from logbook_seen",
        "create table other as select * from logbook_other",
        "create table last as select * from seen",
        "create table after as select * from last",
    ]
    assert _readers("logbook_seen", files) == [0, 2]
    assert _readers("logbook_other", files) == [1]
