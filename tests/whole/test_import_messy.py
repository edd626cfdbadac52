"""Each of the messy files, held to what a careful reader would make of it (its .expected.md)."""

from pathlib import Path

import pytest
from whole.importing import MESSY, cell, fate, proposed, read, reconciles, rows

NAMES = sorted(path.name for path in MESSY.glob("*.csv"))


@pytest.mark.parametrize("name", NAMES)
def test_every_cell_and_every_record_is_accounted_for(name: str) -> None:
    found = read(proposed(name))
    assert reconciles(found)
    assert found.sheet.lines == len((MESSY / name).read_bytes().decode("latin-1").splitlines()) or (
        name.startswith("08")
    )


# --- 01: German export ---------------------------------------------------------------------------


def test_01_four_batches_with_their_columns() -> None:
    proposal = proposed("01_batches_semicolon_bom.csv")
    assert proposal.sheet.heading[0] == "Nr"
    assert proposal.sheet.encoding == "UTF-8 with a byte order mark"
    assert [(p.to, p.kind, p.unit) for p in proposal.columns] == [
        ("batch_id", "", ""),
        ("additions.ingredient", "fruit", ""),
        ("additions.amount", "fruit", "kg"),
        ("additions.amount", "sugar", "kg"),
        ("additions.amount", "water", "L"),
        ("batches.started_on", "", ""),
        ("readings.gravity", "", ""),
        ("batches.yeast", "", ""),
    ]
    found = read(proposal)
    assert rows(found, "batches") == [
        {"batch_id": "1", "started_on": "2024-09-13", "yeast": "Sherryhefe"},
        {"batch_id": "2", "started_on": "2024-10-02", "yeast": "Portweinhefe"},
        {"batch_id": "3", "started_on": "2024-07-05", "yeast": "Sherryhefe"},
        {"batch_id": "4", "started_on": "2025-04-03"},
    ]


def test_01_weights_volumes_and_gravities() -> None:
    found = read(proposed("01_batches_semicolon_bom.csv"))
    amounts = {(r["batch_id"], r["kind"]): r.get("amount") for r in rows(found, "additions")}
    assert amounts == {
        ("1", "fruit"): "1.360 kg",
        ("1", "sugar"): "1.25 kg",
        ("1", "water"): "3.5 L",
        ("2", "fruit"): None,
        ("2", "sugar"): "1.40 kg",
        ("2", "water"): "3.75 L",
        ("3", "fruit"): "2 kg",
        ("3", "sugar"): "1.1 kg",
        ("3", "water"): "3.5 L",
        ("4", "fruit"): "4.5 kg",
        ("4", "sugar"): None,  # blank: not known, not none
        ("4", "water"): "2.0 L",
    }
    fruit = {r["batch_id"]: r["ingredient"] for r in rows(found, "additions", kind="fruit")}
    assert fruit == {"1": "elderberry", "2": "sloe", "3": "redcurrant", "4": "apple"}
    gravities = {r["batch_id"]: r["gravity"] for r in rows(found, "readings")}
    assert gravities == {"1": "1.092", "2": "1.098", "3": "1.090"}
    assert not rows(found, "transfers")
    assert all("target_volume" not in row for row in rows(found, "batches"))


def test_01_whole_number_gravity_names_its_rule() -> None:
    found = read(proposed("01_batches_semicolon_bom.csv"))
    assert "1090 is 1.090" in cell(found, 4, "OG").rule
    assert "1090" in [conversion.written for conversion in found.conversions]


def test_01_a_point_among_commas_is_shown_for_confirmation() -> None:
    proposal = proposed("01_batches_semicolon_bom.csv")
    held = cell(read(proposal), 3, "Frucht kg")
    assert held.fate == "held"
    assert held.readings == ("1.36 kg", "1360 kg")
    assert "more than any household makes" in held.reason
    settled = read(proposal, cells={("Frucht kg", "1.360"): "1.36 kg"})
    (sloe,) = rows(settled, "additions", ingredient="sloe")
    assert sloe["amount"] == "1.36 kg"
    assert "the mapping file says 1.36 kg" in cell(settled, 3, "Frucht kg").rule


def test_01_the_proof_of_the_date_order_is_shown() -> None:
    (question,) = [
        q for q in proposed("01_batches_semicolon_bom.csv").questions if q.key == "dates"
    ]
    assert question.answer == "day-first"
    assert "'13.09.2024' in line 2 proves day first" in question.evidence


# --- 02: US fractions ----------------------------------------------------------------------------


def test_02_ten_additions_dated_month_first() -> None:
    proposal = proposed("02_additions_us_fractions.csv")
    (question,) = [q for q in proposal.questions if q.key == "dates"]
    assert question.answer == "month-first"
    assert question.evidence == ("'8/13/24' in line 8 proves month first",)
    found = read(proposal)
    assert len(rows(found, "additions", batch_id="BB-1")) == 10
    days = {row["added_on"] for row in rows(found, "additions")}
    assert days == {"2024-08-03", "2024-08-04", "2024-08-13"}
    assert "the year '24 read as 2024" in cell(found, 2, "date").rule


def test_02_fractions_are_kept_whole() -> None:
    found = read(proposed("02_additions_us_fractions.csv"))
    amounts = {r["ingredient"]: r.get("amount") for r in rows(found, "additions")}
    assert amounts["blackberries"] == "6 lb 4 oz"
    assert amounts["pectic enzyme"] == "1/2 tsp"
    assert amounts["acid blend"] == "½ tsp"
    assert amounts["nutrient"] == "1 1/2 tsp"
    assert amounts["yeast"] == "1 pkt"
    assert [r.get("amount") for r in rows(found, "additions", kind="sugar")] == ["2 1/4 lb", None]


def test_02_what_lacks_a_unit_or_a_country_is_held() -> None:
    found = read(proposed("02_additions_us_fractions.csv"))
    assert cell(found, 9, "amount").rule == "no-unit"
    assert cell(found, 9, "amount").written == "1/8"
    (tannin,) = rows(found, "additions", ingredient="tannin")
    assert "amount" not in tannin
    assert "amount as written: 1/8" in tannin["notes"]
    assert cell(found, 8, "amount").rule == "which-gallon"
    assert cell(found, 10, "amount").readings == ("7 1/2 us pts", "7 1/2 imp pts")
    assert cell(found, 11, "amount").readings == ("0.44 g", "0.55 g")
    assert fate(found, 11, "what") == "held"
    assert not rows(found, "readings")  # water is no volume of the batch
    assert not rows(found, "transfers")


def test_02_the_gallon_is_asked_and_then_applied() -> None:
    proposal = proposed("02_additions_us_fractions.csv")
    (question,) = [q for q in proposal.questions if q.key == "gallon"]
    assert question.is_open
    found = read(proposal, gallon="us")
    (water,) = rows(found, "additions", kind="water")
    assert water["amount"] == "7 1/2 us pts"
    assert rows(found, "additions", kind="sugar")[1]["amount"] == "1¾ us cups"


# --- 03: scales mixed ----------------------------------------------------------------------------


def test_03_gravities_load_and_every_conversion_is_listed() -> None:
    found = read(proposed("03_readings_brix_sg_mixed.csv"))
    gravities = [row["gravity"] for row in rows(found, "readings") if "gravity" in row]
    assert gravities == ["1.092", "1.075", "1.048", "1.020", "0.998", "0.996", "0.990"]
    converted = {c.written for c in found.conversions if c.heading == "reading"}
    assert converted == {"1075", "1,048", "1.02", "998", "0.99"}


def test_03_what_only_fits_brix_is_held_and_asked() -> None:
    found = read(proposed("03_readings_brix_sg_mixed.csv"))
    for line, written in ((2, "22"), (7, "9.4"), (10, "-1.2")):
        held = cell(found, line, "reading")
        assert (held.fate, held.readings) == ("held", (f"{written} Bx",))
    assert "alcohol" in cell(found, 7, "reading").reason
    (support,) = [c for c in found.cautions if c.line == 2]
    assert "line 3 of the same day says 1.092" in support.text
    assert "does not prove" in support.text


def test_03_what_is_no_gravity_is_rejected() -> None:
    found = read(proposed("03_readings_brix_sg_mixed.csv"))
    assert fate(found, 12, "reading") == "rejected"
    assert fate(found, 13, "reading") == "rejected"
    assert "not moved" in cell(found, 12, "reading").reason


def test_03_day_numbers_are_no_dates_until_the_start_is_given() -> None:
    proposal = proposed("03_readings_brix_sg_mixed.csv")
    assert all("taken_on" not in row for row in rows(read(proposal), "readings"))
    found = read(proposal, starts={"P7": "2024-09-01"})
    assert rows(found, "readings")[2]["taken_on"] == "2024-09-03"
    both = [r.get("gravity") for r in rows(found, "readings", taken_on="2024-10-02")]
    assert both == ["0.990"]
    assert [r.get("gravity") for r in rows(found, "readings", taken_on="2024-10-01")] == [None]


def test_03_a_refractometer_reading_stays_one_when_confirmed() -> None:
    proposal = proposed("03_readings_brix_sg_mixed.csv")
    found = read(proposal, cells={("reading", "9.4"): "9.4 Bx"})
    (row,) = rows(found, "readings", gravity="9.4 Bx")
    assert row["instrument"] == "refractometer"


# --- 05: words in number cells -------------------------------------------------------------------


def test_05_clean_and_approximate_cells_load() -> None:
    found = read(proposed("05_notes_in_number_cells.csv"))
    amounts = {(r["batch_id"], r["kind"]): r.get("amount") for r in rows(found, "additions")}
    assert amounts[("G1", "fruit")] == "~1.8 kg"
    assert amounts[("G6", "fruit")] == "2.2kg"
    assert amounts[("G6", "sugar")] == "1.1kg"
    assert amounts[("G6", "water")] == "4 L"
    assert amounts[("G3", "fruit")] == "2 kg"
    assert amounts[("G3", "sugar")] == "~1200 g"
    assert "the cell says kg, the heading g" in cell(found, 7, "sugar_g").rule
    volumes = {r["batch_id"]: r.get("volume_after") for r in rows(found, "transfers")}
    assert volumes["G1"] == "4.3 L"
    assert volumes["G6"] == "4.4 L"


def test_05_ranges_words_and_sums_are_not_numbers() -> None:
    found = read(proposed("05_notes_in_number_cells.csv"))
    (fruit,) = rows(found, "additions", batch_id="G2", kind="fruit")
    assert "amount" not in fruit
    assert "1.5-2" in fruit["notes"]
    (water,) = rows(found, "additions", batch_id="G3", kind="water")
    assert "amount" not in water
    assert "up to the neck" in water["notes"]
    (sugar,) = rows(found, "additions", batch_id="G4", kind="sugar")
    assert "amount" not in sugar
    assert cell(found, 5, "sugar_g").readings == ("1000 g + 200 g",)
    assert "2 additions on different days" in cell(found, 5, "sugar_g").reason
    assert not rows(found, "transfers", batch_id="G3")
    for line, heading in ((6, "fruit_kg"), (6, "sugar_g"), (6, "abv")):
        assert cell(found, line, heading).rule == "nothing"


def test_05_doubt_stays_doubt() -> None:
    found = read(proposed("05_notes_in_number_cells.csv"))
    gravities = {(r["batch_id"], r["notes"].split(";")[0]): r for r in rows(found, "readings")}
    assert gravities[("G2", "when: start")]["gravity"] == "~1.090"
    stuck = gravities[("G3", "when: end")]
    assert stuck["gravity"] == "1.018"
    assert "stuck" in stuck["notes"]
    (volume,) = rows(found, "transfers", batch_id="G4")
    assert volume["volume_after"] == "~4.0 L"
    assert "less a cup" in volume["notes"]
    zero = cell(found, 6, "finished_l")
    assert (zero.fate, zero.readings) == ("held", ("none", "not known"))


def test_05_written_alcohol_is_text_and_never_beats_the_gravities() -> None:
    found = read(proposed("05_notes_in_number_cells.csv"))
    notes = {r["batch_id"]: r.get("notes", "") for r in rows(found, "batches")}
    assert "9ish" in notes["G3"]
    assert fate(found, 5, "abv") == "rejected"
    assert "bound" in cell(found, 5, "abv").reason
    assert not [c for c in found.cautions if "% alcohol is written" in c.text]


def test_05_a_strength_that_disagrees_is_reported() -> None:
    from whole.importing import TODAY

    from pipeline.logbook.importing import preview, propose

    sheet = b"batch,started,og,fg,abv\nG1,2024-01-02,1.088,0.994,9\n"
    found = preview(propose(sheet, "x.csv", today=TODAY), today=TODAY)
    (caution,) = found.cautions
    assert caution.text.startswith("9 % alcohol is written, and the gravities give 12")


# --- 07: Windows-1252 ----------------------------------------------------------------------------


def test_07_accents_survive_and_the_encoding_is_asked() -> None:
    proposal = proposed("07_cp1252_accents.csv")
    assert proposal.sheet.encoding == "Windows-1252"
    (question,) = [q for q in proposal.questions if q.key == "encoding"]
    assert len(question.evidence) == 3
    assert "'mûre sauvage'" in question.evidence
    found = read(proposal)
    fruit = [(r["batch_id"], r["ingredient"]) for r in rows(found, "additions", kind="fruit")]
    assert fruit == [("MS-1", "blackberry"), ("MS-2", "blackcurrant"), ("MS-3", "peach")]
    assert "written as mûre sauvage" in rows(found, "additions", kind="fruit")[0]["notes"]
    sugar = [r["amount"] for r in rows(found, "additions", kind="sugar")]
    assert sugar == ["1½ kg", "1¼ kg", "900 g"]


def test_07_temperatures_and_dates() -> None:
    found = read(proposed("07_cp1252_accents.csv"))
    temperatures = [r.get("must_temperature") for r in rows(found, "readings")]
    assert temperatures == ["21.5 C", "19 C", None]
    assert [r["started_on"] for r in rows(found, "batches")] == [
        *("2023-09-12", "2023-08-01", "2023-07-31")
    ]
    assert cell(found, 4, "Temp °C").rule == "range"
    assert "25 – 28" in rows(found, "readings")[2]["notes"]


# --- 08: UTF-16 ----------------------------------------------------------------------------------


def test_08_four_rows_with_mixed_decimal_marks() -> None:
    proposal = proposed("08_utf16_tab.csv")
    assert proposal.sheet.delimiter == "\t"
    assert proposal.sheet.encoding == "UTF-16"
    found = read(proposal)
    assert [r.get("ph") for r in rows(found, "readings")] == ["3.3", "3.45", None, "3.2"]
    assert [r.get("free_so2") for r in rows(found, "readings")] == ["18", "35ppm", None, None]
    first = rows(found, "readings")[0]
    assert (first["ta"], first["ta_as"]) == ("6.9 g/l", "tartaric")


def test_08_an_acidity_without_its_acid_is_held_until_one_is_said() -> None:
    proposal = proposed("08_utf16_tab.csv")
    found = read(proposal)
    for line in (3, 4, 5):
        assert cell(found, line, "TA").rule == "which-acid"
    assert "6.2 g/L" in cell(found, 4, "TA").reason
    assert all("ta" not in row for row in rows(found, "readings")[1:])
    settled = read(proposal, ta_as="tartaric")
    assert [r["ta"] for r in rows(settled, "readings")] == ["6.9 g/l", "4.5 g/L", "0.62%", "7"]
    assert {r["ta_as"] for r in rows(settled, "readings")} == {"tartaric"}


def test_08_below_detection_is_neither_ten_nor_nought() -> None:
    found = read(proposed("08_utf16_tab.csv"))
    assert (fate(found, 4, "free SO2"), cell(found, 4, "free SO2").rule) == (
        *("rejected", "bound-only"),
    )
    assert "<10" in rows(found, "readings")[2]["notes"]


# --- 09: gallons ---------------------------------------------------------------------------------


def test_09_rows_that_say_their_units_load() -> None:
    found = read(proposed("09_gallons_country_unknown.csv"))
    by = {(r["batch_id"], r["kind"]): r for r in rows(found, "additions")}
    assert by[("C", "fruit")]["amount"] == "1.4 kg"
    assert by[("C", "sugar")]["amount"] == "1.2 kg"
    assert by[("C", "water")]["amount"] == "1 gallon (Imp)"
    assert by[("E", "sugar")]["amount"] == "2.5 lb"
    assert by[("E", "water")]["amount"] == "3.8L"
    assert by[("E", "fruit")]["amount"] == "2 us qt"  # by the row's own US gal
    assert by[("E", "fruit")]["ingredient"] == "plums"
    volumes = {r["batch_id"]: r.get("target_volume") for r in rows(found, "batches")}
    assert volumes == {"A": None, "B": None, "C": "4.5 l", "D": None, "E": "1 US gal"}


def test_09_gallons_without_a_country_are_held() -> None:
    found = read(proposed("09_gallons_country_unknown.csv"))
    for line, heading in ((2, "Water"), (2, "Volume"), (3, "Water"), (5, "Water"), (5, "Fruit")):
        assert cell(found, line, heading).rule == "which-gallon"
    assert fate(found, 3, "Volume") == "held"
    assert fate(found, 5, "Volume") == "held"
    (water,) = rows(found, "additions", batch_id="B", kind="water")
    assert "amount" not in water


def test_09_water_and_volume_that_contradict_are_shown() -> None:
    found = read(proposed("09_gallons_country_unknown.csv"))
    assert any(c.batch_id == "A" and "both cannot hold" in c.text for c in found.cautions)


def test_09_one_answer_covers_the_sheet_and_the_exception_is_noted() -> None:
    found = read(proposed("09_gallons_country_unknown.csv"), gallon="imperial")
    by = {(r["batch_id"], r["kind"]): r.get("amount") for r in rows(found, "additions")}
    assert by[("A", "water")] == "1 imp gal"
    assert by[("B", "water")] == "to 1 imp gal"  # a mark, not an amount of water
    assert by[("E", "fruit")] == "2 us qt"
    assert any(c.batch_id == "E" and "the row counts" in c.text for c in found.cautions)
    assert "the gallon is imperial" in cell(found, 2, "Water").rule


def test_09_a_year_is_no_date() -> None:
    found = read(proposed("09_gallons_country_unknown.csv"))
    for line in range(2, 7):
        assert (fate(found, line, "Made"), cell(found, line, "Made").rule) == (
            *("rejected", "year-only"),
        )
    assert all("started_on" not in row for row in rows(found, "batches"))


# --- 11: doses -----------------------------------------------------------------------------------


def test_11_doses_that_are_certain_load() -> None:
    found = read(proposed("11_additions_dose_dangers.csv"))
    by = {(r["batch_id"], r["ingredient"]): r.get("amount") for r in rows(found, "additions")}
    assert by[("S1", "k metabisulphite")] == "1/4 tsp"
    assert by[("S1", "sodium metabisulphite")] == "0.5 g"
    assert by[("S3", "potassium sorbate")] == "1.2 g"
    assert by[("S5", "dap")] == "5 g"


def test_11_a_dangerous_dose_blocks_and_says_its_size() -> None:
    found = read(proposed("11_additions_dose_dangers.csv"))
    stops = {c.line: c.text for c in found.cautions if c.is_blocking}
    assert set(stops) == {2, 3, 5}
    assert "(182–274) mg/L" in stops[2]  # 1.2–1.8 g of potassium salt in 3.8 L
    assert "(127–185) mg/L" in stops[3]  # two tablets of unknown weight and salt in 4 L
    assert found.is_blocked
    assert not read(proposed("11_additions_dose_dangers.csv"), large_doses="yes").is_blocked


def test_11_other_ceilings_are_warned_of() -> None:
    found = read(proposed("11_additions_dose_dangers.csv"))
    texts = {c.line: c.text for c in found.cautions if not c.is_blocking}
    assert "199 mg/L sorbic acid" in texts[7]
    assert "1.11 g/L of diammonium phosphate (about 236 mg/L nitrogen)" in texts[10]
    assert "volume of another row is not taken" in texts[8]
    assert 4 not in texts  # 84 mg/L is no slip


def test_11_what_only_the_label_knows_is_held() -> None:
    found = read(proposed("11_additions_dose_dangers.csv"))
    for line in (3, 5, 6, 8, 11):
        assert cell(found, line, "additive").rule == "which-substance"
    assert cell(found, 5, "additive").readings == (
        *("potassium metabisulphite", "sodium metabisulphite"),
    )
    assert cell(found, 9, "amount").rule == "no-weight"
    assert cell(found, 12, "amount").rule == "no-size"
    (stabiliser,) = rows(found, "additions", batch_id="S2", added_on="2024-08-02")
    assert "kind" not in stabiliser
    kinds = [r["ingredient"] for r in rows(found, "additions", kind="sulphite")]
    assert "metabisulphite" not in kinds  # that name alone would be read as the potassium salt


def test_11_names_are_settled_by_the_mapping() -> None:
    found = read(
        proposed("11_additions_dose_dangers.csv"),
        ingredients={"metabisulphite": "sodium metabisulphite", "acid": "citric acid"},
    )
    assert rows(found, "additions", batch_id="S3", kind="sulphite")[0]["ingredient"] == (
        "sodium metabisulphite"
    )
    assert rows(found, "additions", kind="acid")[0]["ingredient"] == "citric acid"
    assert rows(found, "additions", kind="acid")[0]["amount"] == "1 teaspoon"


# --- 13: wide ------------------------------------------------------------------------------------


def _by_moment(found, batch: str) -> list[tuple[str, str]]:
    return [
        (r.get("taken_on") or r["notes"].split(";")[0], r.get("gravity", ""))
        for r in rows(found, "readings", batch_id=batch)
    ]


def test_13_readings_across_become_rows() -> None:
    found = read(proposed("13_wide_days_across.csv"))
    assert _by_moment(found, "W1") == [
        ("2024-09-24", "1.090"),
        ("2024-09-27", "1.060"),
        ("2024-09-29", "1.035"),
        ("when: 10/1", "1.010"),
        ("when: 10/8/24", ""),
        ("when: week 4", "0.996"),
    ]
    assert _by_moment(found, "W2") == [
        ("2024-09-24", "1.085"),
        ("2024-09-27", "1.070"),
        ("when: 10/1", "1.030"),
        ("when: 10/8/24", "1.022"),
        ("when: week 4", ""),
    ]
    assert _by_moment(found, "W3") == [
        ("when: day 0", "1.095"),
        ("when: day 5", "1.040"),
        ("when: 10/1", ""),
        ("when: 10/8/24", "1.012"),
        ("when: week 4", "0.998"),
    ]


def test_13_ditto_marks_are_notes_and_not_numbers() -> None:
    found = read(proposed("13_wide_days_across.csv"))
    for line, heading in ((2, "10/8/24"), (3, "week 4"), (4, "10/1")):
        one = cell(found, line, heading)
        assert (one.fate, one.text) == ("loaded", "")
        assert "not as a copied number" in one.rule


def test_13_the_order_of_the_headings_is_asked_once_with_its_evidence() -> None:
    proposal = proposed("13_wide_days_across.csv")
    (question,) = [q for q in proposal.questions if q.key == "dates"]
    assert question.is_open
    evidence = " ".join(question.evidence)
    assert "'9/24/2024' in line 2 proves month first" in evidence
    assert "'24/9/2024' in line 3 proves day first" in evidence
    assert "10/8/24 read month-first is day 14" in evidence
    found = read(proposal, dates="month-first")
    assert [day for day, _ in _by_moment(found, "W1")][3:5] == ["2024-10-01", "2024-10-08"]
    assert [day for day, _ in _by_moment(found, "W2")][2:4] == ["2024-10-01", "2024-10-08"]


def test_13_what_lacks_its_year_stays_open() -> None:
    found = read(proposed("13_wide_days_across.csv"), dates="month-first")
    assert (fate(found, 4, "Started"), cell(found, 4, "Started").rule) == ("held", "no-year")
    assert (fate(found, 2, "Bottled"), cell(found, 2, "Bottled").rule) == ("rejected", "no-year")
    assert cell(found, 3, "d5").rule == "nothing"
    assert _by_moment(found, "W1")[-1] == ("when: week 4", "0.996")


def test_13_the_maker_can_say_which_day_a_week_was() -> None:
    found = read(proposed("13_wide_days_across.csv"), **{"when: week 4": "day 28"})
    assert _by_moment(found, "W1")[-1] == ("2024-10-22", "0.996")


# --- 16: ragged ----------------------------------------------------------------------------------


def test_16_neighbours_of_ragged_rows_are_untouched() -> None:
    found = read(proposed("16_ragged_quotes_newlines.csv"))
    gravities = {r["batch_id"]: r["gravity"] for r in rows(found, "readings")}
    assert gravities == {"Q1": "1.088", "Q3": "1.082", "Q4": "1.080", "Q6": "1.100"}
    notes = {r["batch_id"]: r["notes"] for r in rows(found, "batches")}
    assert notes["Q1"] == "stoned, halved"
    assert notes["Q3"] == "racked\ntwice, still cloudy"
    fruit = {r["batch_id"]: r["ingredient"] for r in rows(found, "additions")}
    assert fruit == {"Q1": "plum", "Q3": "pear", "Q4": "quince", "Q6": "fig"}


def test_16_ragged_rows_are_set_aside_with_line_and_raw_text() -> None:
    sheet = proposed("16_ragged_quotes_newlines.csv").sheet
    assert [(aside.line, aside.raw) for aside in sheet.aside] == [
        (3, 'Q2,cherry,used 5" jar, not the big one,1.09'),
        (7, 'Q5,apple,"unfinished quote,1.079'),
    ]
    assert (sheet.lines, sheet.records, len(sheet.rows)) == (8, 6, 4)
    assert {row.line for row in sheet.rows} == {2, 4, 6, 8}


def test_the_originals_are_the_ones_that_were_given() -> None:
    assert len(NAMES) == 10
    assert all((Path(MESSY) / name.replace(".csv", ".expected.md")).exists() for name in NAMES)
