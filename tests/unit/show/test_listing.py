from pipeline.show.listing import Listing, print_listing


def test_a_column_that_says_nothing_is_left_out(capsys):
    listing = Listing(("fruit", "doubts", "adds"), [("sloe", "", "1 L"), ("plum", " ", "2 L")])
    print_listing(listing)
    out = capsys.readouterr().out
    assert "doubts" not in out
    assert "sloe" in out
    assert listing.without_empty_columns().headings == ["fruit", "adds"]


def test_a_table_without_rows_is_not_printed(capsys):
    print_listing(Listing(("fruit",)))
    assert capsys.readouterr().out == ""
