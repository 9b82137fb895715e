from render.tables import text_lines


def test_columns_meet_whatever_the_script():
    """Wide characters take two columns and combining ones none: Unicode Standard Annex 11, East Asian Width."""
    assert text_lines(["name", "mm"], [["机器", "1"], ["cafe\u0301", "10"], ["desk 2", "100"]]) == [
        "name     mm",
        "机器      1",
        "cafe\u0301     10",
        "desk 2  100",
    ]
