"""Sheets of the same kinds as the messy files: other languages, marks, orders and layouts."""

import pytest
from whole.importing import TODAY, cell, read, reconciles, rows

from pipeline.logbook.importing import Proposal, propose


def _propose(text: str, codec: str = "utf-8") -> Proposal:
    return propose(text.encode(codec), "old.csv", today=TODAY)


def _targets(proposal: Proposal) -> list[str]:
    return [" ".join(part for part in (p.to, p.kind, p.when, p.unit) if part)
            for p in proposal.columns]  # fmt: skip


SAME_SHEET = {
    "German": "Ansatz;Angesetzt am;Pflaumen kg;Zucker g;Wasser l;OG;Hefe\n"
    "A;13.09.2024;1,5;900;3,5;1,085;Reinzucht\n",
    "French": "Cuvée;Date de début;Prunes kg;Sucre g;Eau l;Densité initiale;Levure\n"
    "A;13/09/2024;1,5;900;3,5;1085;Reinzucht\n",
    "Spanish": "Lote;Fecha de inicio;Ciruelas kg;Azúcar g;Agua l;Densidad inicial;Levadura\n"
    "A;13/9/24;1,5;900;3,5;1,085;Reinzucht\n",
    "Italian": "Lotto,Inizio,Prugne kg,Zucchero g,Acqua l,Densità iniziale,Lievito\n"
    'A,13 settembre 2024,"1,5",900,"3,5","1,085",Reinzucht\n',
    "Dutch": "Partij\tStartdatum\tPruimen kg\tSuiker g\tWater l\tBegin SG\tGist\n"
    "A\t13-9-2024\t1,5\t900\t3,5\t1,085\tReinzucht\n",
    "Polish": "Partia|Rozpoczęto|Śliwki kg|Cukier g|Woda l|OG|Drożdże\n"
    "A|13.09.2024|1,5|900|3,5|1,085|Reinzucht\n",
    "Swedish": "Sats;Startad;Plommon kg;Socker g;Vatten l;OG;Jäst\n"
    "A;2024-09-13;1,5;900;3,5;1,085;Reinzucht\n",
    "English": "Batch no.,Date started,Plums (kg),Sugar added (g),Water [L],O.G.,Yeast strain\n"
    "A,Sept 13 2024,1.5,900,3.5,1.085,Reinzucht\n",
    "American": "Jar #,Start Date,Plums (kg),Sugar (grams),Water - L,Starting gravity,Yeast used\n"
    "A,9/13/24,1.50,900,3.50,1.085,Reinzucht\n",
    "misspelt": "Bacth,Date startd,Plums kg,Suger g,Watter l,Orignal gravity,Yeats strain\n"
    "A,2024-09-13,1.5,900,3.5,1.085,Reinzucht\n",
}


@pytest.mark.parametrize("language", [name for name in SAME_SHEET if name != "French"])
def test_one_sheet_in_ten_dresses_gives_the_same_rows(language: str) -> None:
    proposal = _propose(SAME_SHEET[language])
    found = read(proposal)
    assert reconciles(found)
    assert rows(found, "batches") == [
        {"batch_id": "A", "started_on": "2024-09-13", "yeast": "Reinzucht"}
    ]
    fruit, sugar, water = rows(found, "additions")
    assert (fruit["kind"], fruit["ingredient"].rstrip("s")) == ("fruit", "plum")
    assert float(fruit["amount"].split()[0]) == 1.5
    assert sugar["amount"] == "900 g"
    assert float(water["amount"].split()[0]) == 3.5
    assert [row["gravity"] for row in rows(found, "readings")] == ["1.085"]


def test_prune_is_two_fruits_and_is_asked() -> None:
    # French for plum, English for a dried one: nothing in the word tells.
    found = read(_propose(SAME_SHEET["French"].replace("Prunes", "Prune")))
    assert rows(found, "batches")[0]["started_on"] == "2024-09-13"
    assert "Prune kg: 1,5" in rows(found, "batches")[0]["notes"] or rows(
        found, "additions", kind="fruit"
    )


@pytest.mark.parametrize("codec", ["utf-8", "utf-8-sig", "utf-16", "cp1252"])
@pytest.mark.parametrize("ends", ["\n", "\r\n", "\r"])
def test_encodings_and_line_ends_change_nothing(codec: str, ends: str) -> None:
    text = SAME_SHEET["German"].replace("\n", ends)
    found = read(propose(text.encode(codec), "old.csv", today=TODAY))
    assert rows(found, "batches")[0]["started_on"] == "2024-09-13"
    assert found.sheet.heading[0] == "Ansatz"


def test_a_line_that_names_the_separator_is_followed() -> None:
    proposal = _propose("sep=;\nbatch;date;SG\nA;2024-08-01;1,090\n")
    assert proposal.sheet.heading_lines == (2,)
    assert rows(read(proposal), "readings")[0]["gravity"] == "1.090"


# --- headings ------------------------------------------------------------------------------------


def test_a_heading_on_two_rows_below_titles() -> None:
    sheet = (
        "Garden wines 2023,,,,,,\nprinted in May,,,,,,\n\n"
        "Wine,Started,SG,,,pH,\n,,start,5 Oct,12 Oct,5 Oct,notes\n"
        "plum,28 Sep 2023,1.085,1.040,1.010,3.4,good\n"
        "Average,,1.085,1.040,1.010,3.4,\n"
    )
    proposal = _propose(sheet)
    assert proposal.sheet.heading == (
        *("Wine", "Started", "SG start", "SG 5 Oct", "SG 12 Oct", "pH 5 Oct", "notes"),
    )
    assert proposal.sheet.heading_lines == (4, 5)
    assert [title.raw for title in proposal.sheet.titles] == ["Garden wines 2023", "printed in May"]
    assert [(a.line, a.fault) for a in proposal.sheet.aside] == [(7, "total")]
    found = read(proposal)
    assert [(r["taken_on"], r["gravity"], r.get("ph")) for r in rows(found, "readings")] == [
        ("2023-09-28", "1.085", None),
        ("2023-10-05", "1.040", "3.4"),
        ("2023-10-12", "1.010", None),
    ]


def test_units_in_a_second_heading_row() -> None:
    proposal = _propose("Batch,Started,Fruit,Sugar,Water\n,,(lb),(g),(L)\nA,2024-08-01,3,900,3.5\n")
    assert _targets(proposal)[2:] == [
        *("additions.amount fruit lb", "additions.amount sugar g", "additions.amount water L"),
    ]


def test_a_heading_repeated_on_every_page_is_no_row() -> None:
    text = "batch,date,SG\nA,2024-08-01,1.090\nbatch,date,SG\nA,2024-08-05,1.050\n"
    proposal = _propose(text)
    assert [(a.line, a.fault) for a in proposal.sheet.aside] == [(3, "heading")]
    assert len(proposal.sheet.rows) == 2


def test_a_column_without_a_name_goes_to_the_notes() -> None:
    proposal = _propose("batch,date,SG,\nA,2024-08-01,1.090,foaming\nA,2024-08-02,1.080,calm\n")
    assert proposal.columns[3].heading == "column 4"
    assert "column 4: foaming" in rows(read(proposal), "readings")[0]["notes"]


def test_unknown_columns_are_kept_in_the_notes() -> None:
    found = read(_propose("batch,started,Moon phase,OG\nA,2024-08-01,waning,1.090\n"))
    assert rows(found, "batches")[0]["notes"] == "Moon phase: waning"


def test_two_columns_of_one_meaning_do_not_overwrite_each_other() -> None:
    found = read(_propose("batch,started,OG,original gravity\nA,2024-08-01,1.090,1.085\n"))
    assert [r["gravity"] for r in rows(found, "readings")] == ["1.090"]
    assert "original gravity: 1.085" in rows(found, "batches")[0]["notes"]


# --- layouts -------------------------------------------------------------------------------------


def test_wide_days_in_german() -> None:
    found = read(
        _propose(
            "Ballon,Angesetzt am,Tag 0,Tag 3,Woche 2,1. Monat,Abgefüllt am\n"
            "B1,13.9.2024,1085,1040,1010,998,1.3.2025\n"
        )
    )
    days = [(r.get("taken_on", ""), r["gravity"]) for r in rows(found, "readings")]
    assert days[:3] == [("2024-09-13", "1.085"), ("2024-09-16", "1.040"), ("", "1.010")]
    assert rows(found, "transfers")[0]["moved_on"] == "2025-03-01"


def test_several_fruits_each_in_a_column_of_its_own() -> None:
    text = (
        "Batch;Date;Elderberries lb;Raisins oz;Sugar lb;Citric acid tsp;Water gal (US)\n"
        "E1;5 Sep 2023;3;8;2.5;1;1\nE2;6 Sep 2023;4;;2 1/2;½;1\n"
    )
    found = read(_propose(text), blank_additions="none")
    amounts = [(r["ingredient"], r["amount"]) for r in rows(found, "additions", batch_id="E2")]
    assert amounts == [
        ("elderberries", "4 lb"),
        ("sugar", "2 1/2 lb"),
        ("citric acid", "½ tsp"),
        ("water", "1 us gal"),
    ]


def test_names_and_amounts_in_pairs_of_columns() -> None:
    text = "batch,started,fruit 1,kg,fruit 2,kg\nA,2024-08-01,plum,2,sloe,0.5\n"
    text = text.replace("fruit 1,kg,fruit 2,kg", "fruit,fruit kg,berries,berries kg")
    found = read(_propose(text))
    pairs = [(r["ingredient"], r["amount"]) for r in rows(found, "additions")]
    assert pairs == [("plum", "2 kg"), ("sloe", "0.5 kg")]


def test_several_amounts_and_names_in_one_cell() -> None:
    found = read(_propose('batch,started,fruit\nA,2024-08-01,"2 kg sloes, 200 g raisins"\n'))
    pairs = [(r["ingredient"], r["amount"]) for r in rows(found, "additions")]
    assert pairs == [("sloes", "2 kg"), ("raisins", "200 g")]
    assert "parted" in cell(found, 2, "fruit").rule


def test_a_log_with_sugar_added_on_some_days_is_entries() -> None:
    text = "batch,date,SG,sugar added g\nA,2024-08-01,1.060,500\nA,2024-08-05,1.040,\n"
    proposal = _propose(text)
    assert proposal.layout == "entries"
    found = read(proposal)
    assert [(r["added_on"], r["amount"]) for r in rows(found, "additions")] == [
        ("2024-08-01", "500 g")
    ]
    assert [r["gravity"] for r in rows(found, "readings")] == ["1.060", "1.040"]


def test_a_log_of_one_batch_without_a_column_for_it() -> None:
    text = "date\tSG\ttemp F\n9/24/23\t1.090\t70\n10/3/23\t1010\t68\n"
    proposal = _propose(text)
    assert [q.key for q in proposal.questions if q.is_open] == ["batch"]
    assert all(one.rule == "no-batch" for one in read(proposal).fates)
    found = read(proposal, batch="plum 23")
    assert [(r["batch_id"], r["taken_on"], r["gravity"]) for r in rows(found, "readings")] == [
        ("plum 23", "2023-09-24", "1.090"),
        ("plum 23", "2023-10-03", "1.010"),
    ]
    assert rows(found, "readings")[0]["must_temperature"] == "70 F"


def test_blank_batches_are_asked_and_ditto_marks_are_followed() -> None:
    blank = _propose("batch,date,SG\nA1,2024-08-01,1.090\n,2024-08-05,1.050\n")
    assert cell(read(blank), 3, "SG").rule == "no-batch"
    assert rows(read(blank, blank_batch="above"), "readings")[1]["batch_id"] == "A1"
    ditto = _propose('batch,date,what,amount\nA1,3 Aug 2024,plums,2 kg\n"""","""",sugar,1 kg\n')
    second = rows(read(ditto), "additions")[1]
    assert (second["batch_id"], second["added_on"]) == ("A1", "2024-08-03")


def test_a_ditto_mark_for_an_amount_is_not_copied() -> None:
    found = read(_propose('batch,date,what,amount\nA,2024-08-01,plums,2 kg\nB,2024-08-01,sloes,"""'
                          '"\n'))  # fmt: skip
    assert cell(found, 3, "amount").rule == "ditto"
    assert "amount" not in rows(found, "additions")[1]


def test_tastings_ask_for_their_scale_and_never_rescale() -> None:
    text = (
        "wine,tasted,who,sweet,bitter,score,comments\nA,2024-05-01,AB,2,3,14,fine\n"
        "A,2024-05-01,CD,3,4,7/10,\nB,2024-06-01,AB,2,,v. good,hmm\n"
    )
    proposal = _propose(text)
    assert all("score" not in row for row in rows(read(proposal), "tastings"))
    found = read(proposal, score_out_of="20")
    assert [r.get("score") for r in rows(found, "tastings")] == ["14", None, None]
    assert cell(found, 3, "score").rule == "other-scale"
    assert cell(found, 4, "score").fate == "rejected"
    assert "v. good" in rows(found, "tastings")[2]["notes"]
    assert rows(found, "tastings")[0]["tasted_on"] == "2024-05-01"


OLD_BATCHES = (
    "Wine,Started,Fruit,Sugar,Water,OG,FG,Bottled,{score}\n"
    "Plum 1,13/9/2023,4 lb,2.5 lb,to 4.5 L,1.090,0.996,5 bottles,14\n"
    "Sour cherry II,20/9/2023,3 lb,2 lb,4.5 L,1.088,0.995,6,9\n"
)


@pytest.mark.parametrize("score", ["Score", "Taste"])
def test_a_score_beside_how_batches_were_made_leaves_them_batches(score: str) -> None:
    proposal = _propose(OLD_BATCHES.format(score=score))
    assert proposal.layout == "batches"
    assert _targets(proposal)[2] == "additions.amount fruit"
    assert _targets(proposal)[-1] == "tastings.score"
    open_ones = {question.key for question in proposal.questions if not question.answer}
    asked = {"which fruit", "when: end", "when: bottled", "when: tasted", "taster", "score_out_of"}
    assert open_ones == asked


def test_the_fruit_of_a_batch_is_the_one_it_is_named_after_if_the_maker_says_so() -> None:
    proposal = _propose(OLD_BATCHES.format(score="Score"))
    (which,) = [one for one in proposal.questions if one.key == "which fruit"]
    assert which.evidence == ("Plum 1: plum", "Sour cherry II: sour cherry")
    said = {"when: end": "day 60", "when: bottled": "day 120", "when: tasted": "day 365"}
    said |= {"which fruit": "by batch", "taster": "AB", "score_out_of": "20"}
    found = read(proposal, **said)
    fruits = [row["ingredient"] for row in rows(found, "additions", kind="fruit")]
    assert fruits == ["plum", "sour cherry"]
    assert [row["bottles"] for row in rows(found, "transfers")] == ["5", "6"]
    assert rows(found, "transfers")[0]["moved_on"] == "2024-01-11"
    tasted = rows(found, "tastings")[0]
    assert (tasted["tasted_on"], tasted["taster"], tasted["score"]) == ("2024-09-12", "AB", "14")
    assert not found.waiting


@pytest.mark.parametrize("typed", ["day 99999999999", "day 9999999", "soon", "leave"])
def test_an_answer_that_is_no_day_leaves_the_row_waiting_for_one(typed: str) -> None:
    found = read(_propose(OLD_BATCHES.format(score="Score")), **{"when: tasted": typed})
    waiting = [row for row in found.waiting if row.file == "tastings"]
    assert [row.batch_id for row in waiting] == ["Plum 1", "Sour cherry II"]
    assert all("tasted_on" in row.missing for row in waiting)


def test_a_batch_named_after_no_fruit_or_after_two_is_not_settled_by_its_name() -> None:
    text = OLD_BATCHES.format(score="Score").replace("Plum 1", "plum and apple")
    (which,) = [one for one in _propose(text).questions if one.key == "which fruit"]
    assert which.evidence == ()
    assert "by batch" not in which.text


def test_words_about_taste_are_notes_and_no_names_of_tasters() -> None:
    text = OLD_BATCHES.format(score="Taste").replace(",14\n", ",harsh\n").replace(",9\n", ",fine\n")
    found = read(_propose(text))
    assert rows(found, "tastings") == []
    assert "Taste: harsh" in rows(found, "batches")[0]["notes"]


# --- cells ---------------------------------------------------------------------------------------


@pytest.mark.parametrize(
    ("written", "becomes"),
    [
        ("8/13/24", "2024-08-13"),
        ("13.9.24", "2024-09-13"),
        ("13 Sep 24", "2024-09-13"),
        ("13. September 2024", "2024-09-13"),
        ("1er août 2024", None),
        ("2024/09/13", "2024-09-13"),
        ("Sat, 14 Sep 2024", "2024-09-14"),
        ("5/5/24", "2024-05-05"),
        ("3/4/24", None),
        ("13/13/24", None),
        ("31/02/2024", None),
        ("Sept 24", None),
        ("Sep 2024", None),
        ("12/1", None),
        ("2024", None),
        ("45659", None),
        ("3/14/87", None),
        ("13.9.2031", None),
    ],
)
def test_dates_are_read_or_left_open(written: str, becomes: str | None) -> None:
    found = read(_propose(f"batch,started,OG\nA,{written},1.090\n".replace("Sat, ", "Sat ")))
    assert rows(found, "batches")[0].get("started_on") == becomes
    assert (cell(found, 2, "started").fate == "loaded") == (becomes is not None)


@pytest.mark.parametrize(
    ("written", "becomes"),
    [
        ("etwa 2 kg", "~2 kg"),
        ("env. 900 g", "~900 g"),
        ("2 Liter", "2 L"),
        ("1 TL", "1 tsp"),
        ("2 EL", "2 tbsp"),
        ("1 cuillère à café", "1 tsp"),
        ("1 Päckchen", None),  # of a powder: the weight is not known
        ("2 Pfund", None),
        ("une livre", None),
        ("2-3 kg", None),
        ("a handful", None),
        ("02-Jan", None),
        ("45659", None),
        ("1,360 kg", None),
        ("1,5 kg", "1.5 kg"),
        ("0,360 kg", "0.360 kg"),
        ("1.234,5 g", "1234.5 g"),
        ("2kg (frozen)", "2kg"),
        ("1 1/2 lb", "1 1/2 lb"),
        ("1 lb 14 oz", "1 lb 14 oz"),
        ("1 qt", None),
        ("1 US qt", "1 US qt"),
        ("2 cups", None),
        ("#REF!", None),
        ("=SUM(A1)", None),
        ("0", None),
    ],
)
def test_amounts_are_read_or_left_open(written: str, becomes: str | None) -> None:
    text = f'batch,date,what,amount\nA,2024-08-01,white sugar,"{written}"\n'
    found = read(_propose(text))
    one = cell(found, 2, "amount")
    assert (one.text if one.fate == "loaded" else None) == becomes
    if one.fate != "loaded":
        assert one.reason
        assert f"amount as written: {written}" in rows(found, "additions")[0]["notes"]


@pytest.mark.parametrize(
    ("heading", "written", "becomes"),
    [
        ("Brix", "22", "22 Bx"),
        ("SG", "22", None),
        ("Mostgewicht", "85", "1.085"),
        ("°Oe", "85", "1.085"),
        ("SG", "85 °Oe", "1.085"),
        ("SG", "1,090", "1.090"),
        ("SG", "1.0905", "1.0905"),
        ("SG", "1090", "1.090"),
        ("SG", "990", "0.990"),
        ("SG", "10.90", None),
        ("SG", "109", None),
        ("SG", "1.5", None),
        ("SG", "1.085-1.090", None),
        ("SG", "~1.085", "~1.085"),
        ("SG", "1.085 (warm)", "1.085"),
        ("SG", "still 1.004", "1.004"),
        ("SG", "dry", None),
    ],
)
def test_gravities_are_read_or_left_open(heading: str, written: str, becomes: str | None) -> None:
    found = read(_propose(f'batch,date,{heading}\nA,2024-08-01,"{written}"\n'))
    one = cell(found, 2, heading)
    assert (one.text if one.fate == "loaded" else None) == becomes


# --- diaries, totals, doubles --------------------------------------------------------------------


def test_a_diary_of_events_becomes_additions_readings_and_steps() -> None:
    text = (
        "Date,Batch,Event,Amount,SG,pH\n2024-08-01,A,plums,2 kg,,\n"
        "2024-08-01,A,reading,,1.085,3.4\n"
        "2024-08-08,A,strained,4.2 L,1.020,\n2025-03-01,A,bottled,5 bottles,,\n"
    )
    found = read(_propose(text))
    assert reconciles(found)
    assert [(r["ingredient"], r["amount"]) for r in rows(found, "additions")] == [("plums", "2 kg")]
    assert [
        (r["step"], r.get("volume_after"), r.get("bottles")) for r in rows(found, "transfers")
    ] == [
        ("strain", "4.2 L", None),
        ("bottle", None, "5"),
    ]
    assert rows(found, "readings")[0]["notes"] == "Event: reading"


def test_totals_means_and_remarks_are_no_batches() -> None:
    text = (
        "Elderberry wines,,,\n,,,\nBatch,Date,Fruit (lb),Sugar (lb)\nE1,5 Sep 2023,3,2.5\n,,,\n"
        "Total,,3,2.5\nAverages:,,3,2.5\n* sugar includes honey,,,\n"
    )
    sheet = _propose(text).sheet
    assert [(a.line, a.fault) for a in sheet.aside] == [(6, "total"), (7, "total"), (8, "remark")]
    assert (sheet.lines, sheet.blank_lines, len(sheet.titles), len(sheet.rows)) == (8, 2, 1, 1)


def test_rows_alike_and_batches_with_two_starts_are_pointed_at() -> None:
    text = "batch,started,OG\nA,2024-08-01,1.090\nA,2024-08-01,1.090\nA,2024-08-02,1.085\n"
    texts = [caution.text for caution in read(_propose(text)).cautions]
    assert "the same as line 2, cell for cell; both are read" in texts
    assert any("are these two batches of one name?" in text for text in texts)


def test_money_loses_its_sign_and_nothing_else() -> None:
    text = (
        "batch,date,what,amount,cost\nA,2024-08-01,plums,2 kg,£3.50\nA,2024-08-01,sugar,1 kg,free\n"
    )
    found = read(_propose(text))
    assert [r.get("cost") for r in rows(found, "additions")] == ["3.50", None]
    assert cell(found, 3, "cost").fate == "rejected"


def test_a_weight_beside_the_fruit_is_the_fruits() -> None:
    text = "Batch,Made on,Fruit,Weight,Sugar,Pressed\nA,1 Aug 2024,plum,2 kg,1.1 kg,9 Aug 2024\n"
    found = read(_propose(text))
    assert [(r["ingredient"], r["amount"]) for r in rows(found, "additions")] == [
        ("plum", "2 kg"),
        ("sugar", "1.1 kg"),
    ]
    assert rows(found, "transfers")[0]["moved_on"] == "2024-08-09"


def test_names_and_numbers_that_spreadsheets_mangle() -> None:
    text = (
        "batch,started,OG,fruit,fruit kg\n007,2024-08-01,1.090,plum,2\n"
        "2E3,2024-08-02,NaN,sloe,inf\n1-2,2024-08-03,1.080,plum,2.0E+00\n"
    )
    found = read(_propose(text))
    assert [r["batch_id"] for r in rows(found, "batches")] == ["007", "2E3", "1-2"]
    assert [r.get("gravity") for r in rows(found, "readings")] == ["1.090", "1.080"]
    assert [r.get("amount") for r in rows(found, "additions")] == ["2 kg", None, None]


def test_a_sheet_with_one_column_a_batch_is_turned() -> None:
    text = (
        "My wines,,\nBatch,E1,E2\nFruit,elderberry,plum\nFruit kg,1.5,~2\nStarted,2024-08-01,"
        "2024-09-01\nOG,1.090,1085\n"
    )
    proposal = _propose(text)
    assert proposal.sheet.is_turned
    assert [title.raw for title in proposal.sheet.titles] == ["My wines"]
    found = read(proposal)
    assert reconciles(found)
    assert [(r["batch_id"], r["started_on"]) for r in rows(found, "batches")] == [
        ("E1", "2024-08-01"),
        ("E2", "2024-09-01"),
    ]
    assert [(r["ingredient"], r["amount"]) for r in rows(found, "additions")] == [
        ("elderberry", "1.5 kg"),
        ("plum", "~2 kg"),
    ]
    assert [r["gravity"] for r in rows(found, "readings")] == ["1.090", "1.085"]
