"""What the documents show is run: Python blocks as they stand, commands and their output too."""

import re
from pathlib import Path

import pytest

import pipeline
from pipeline.errors import UnknownNameError

ROOT = Path(__file__).parents[2]
DOCUMENTS = ("README.md", "DEVELOPERS.md", "pipeline/METHODS.md")


def _blocks(document: str, language: str) -> list[str]:
    text = (ROOT / document).read_text(encoding="utf-8")
    return re.findall(rf"^```{language}\n(.*?)^```", text, re.MULTILINE | re.DOTALL)


@pytest.mark.parametrize("document", DOCUMENTS)
def test_python_examples_run_as_they_stand(document, tmp_path, monkeypatch, capsys):
    monkeypatch.chdir(tmp_path)
    names: dict = {}
    for block in _blocks(document, "python"):
        exec(compile(block, document, "exec"), names)
    if document == "DEVELOPERS.md":
        printed = capsys.readouterr().out
        assert "Millrace 0.99" in printed
        assert 0.6 < names["bananas"]["finished_fraction"].mean() < 0.9
        assert names["deviation"].shape == (3,)


def test_links_between_documents_lead_somewhere():
    for document in DOCUMENTS:
        text = (ROOT / document).read_text(encoding="utf-8")
        for target in re.findall(r"\]\(([^)#:]+)\)", text):
            assert ((ROOT / document).parent / target).exists(), f"{document}: {target}"


def test_every_public_name_is_there_and_no_other():
    for name in pipeline.__all__:
        assert getattr(pipeline, name).__name__ == name
    with pytest.raises(AttributeError, match="no attribute 'nonesuch'"):
        pipeline.nonesuch  # noqa: B018


def test_an_unknown_question_is_one_sentence():
    with pytest.raises(UnknownNameError, match=r"no question 'price'\. There are: fit, volume"):
        pipeline.answer("price", None, None)
