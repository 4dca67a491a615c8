from brazesoak.report.layout import bullets, labelled, paragraph, table


def test_lines_keep_within_the_width() -> None:
    text = "The clock starts when the display first shows 725 °C, about 1 h 29 min after the start. " * 4
    assert max(map(len, paragraph(text, 60).splitlines())) <= 60


def test_a_number_stays_with_its_unit() -> None:
    for width in range(20, 60):
        lines = paragraph("wait for about 1 h 29 min and then cool to 725 °C in 30 s", width).splitlines()
        assert not any(line.endswith(("1", "h", "29", "725", "30")) for line in lines), lines


def test_only_ordinary_spaces_come_out() -> None:
    assert "\N{NO-BREAK SPACE}" not in paragraph("725 °C", 40) + table(["a"], [["1 h 2 min"]], 40)


def test_labels_stand_in_one_column() -> None:
    assert labelled([("Set", "730 °C"), ("Hold", "37 min")], 80) == "Set   730 °C\nHold  37 min"


def test_bullets_hang() -> None:
    assert bullets(["one two three four five six"], 20).splitlines()[1].startswith("  ")


def test_table_wraps_its_widest_column_and_breaks_no_word() -> None:
    rows = [["stiffening rib to the base plate", "BAg-7", "1 h 24 min"]]
    text = table(["Joint", "Filler", "At target"], rows, 40)
    assert max(map(len, text.splitlines())) <= 40
    assert "stiffening" in text
    assert "1 h 24 min" in text


def test_table_narrower_than_its_words_overflows_rather_than_cuts() -> None:
    assert "stiffening" in table(["Joint", "Filler"], [["stiffening rib", "BAg-7"]], 8)
