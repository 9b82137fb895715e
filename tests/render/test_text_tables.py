from render.tables import text_lines


def test_columns_meet_whatever_the_script():
    """Wide characters take two columns and combining ones none: Unicode Standard Annex 11."""
    assert text_lines(["name", "mm"], [["机器", "1"], ["cafe\u0301", "10"], ["desk 2", "100"]]) == [
        "name     mm",
        "机器      1",
        "cafe\u0301     10",
        "desk 2  100",
    ]


def test_a_name_is_cut_at_sixty_columns_and_nothing_else_is():
    lines = text_lines(
        ["name", "note"], [["x" * 300, "y" * 100], ["\N{CJK UNIFIED IDEOGRAPH-4E00}" * 100, ""]]
    )
    assert lines[1].split()[0] == "x" * 59 + "\N{HORIZONTAL ELLIPSIS}"
    assert lines[1].split()[1] == "y" * 100
    assert lines[2].split()[0] == "\N{CJK UNIFIED IDEOGRAPH-4E00}" * 29 + "\N{HORIZONTAL ELLIPSIS}"
