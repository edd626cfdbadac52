"""`python -m pipeline.cluster` refuses in a sentence what it cannot do."""

import pytest

from pipeline.cluster import __main__ as call


@pytest.fixture
def equipped(monkeypatch):
    """A machine with all that Spark needs, as far as anybody looks."""
    monkeypatch.setattr(call, "find_spec", lambda _: object())
    monkeypatch.setattr(call.shutil, "which", lambda _: "java")


@pytest.mark.usefixtures("equipped")
def test_a_folder_with_something_in_it_is_left_alone(tmp_path, capsys):
    (tmp_path / "batches").mkdir()
    assert call.main(["club", str(tmp_path)]) == 2
    assert capsys.readouterr().err == (
        f"{tmp_path} is there already and not empty. Name a new folder.\n"
    )


@pytest.mark.usefixtures("equipped")
def test_without_spark_it_says_what_to_install(tmp_path, capsys, monkeypatch):
    monkeypatch.setattr(call, "find_spec", lambda name: None if name == "pyspark" else object())
    assert call.main(["club", str(tmp_path)]) == 2
    assert "Spark needs pyspark, not installed here." in capsys.readouterr().err
    monkeypatch.setattr(call, "find_spec", lambda _: object())
    monkeypatch.setattr(call.shutil, "which", lambda _: None)
    monkeypatch.delenv("JAVA_HOME", raising=False)
    assert call.main(["club", str(tmp_path)]) == 2
    assert "Install Java 17 or later." in capsys.readouterr().err
