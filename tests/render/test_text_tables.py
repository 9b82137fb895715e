from render.tables import markdown_lines, text_lines


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


def test_a_name_in_markdown_is_text_and_no_mark_tag_link_or_line():
    """Oracle: markdown-it-py (PyPI), an independent reader of CommonMark and its tables."""
    from markdown_it import MarkdownIt

    names = [
        "<img src=x onerror=alert(1)>",
        "[a](javascript:alert(1))",
        "a | b \\| c",
        "**bold** _it_ `code` ~~no~~ ![x](y)",
        "&lt;b&gt; https://x.example www.x.example",
        "two\nlines",
    ]
    page = MarkdownIt("commonmark").enable("table")
    for name in names:
        tokens = page.parse("\n".join(markdown_lines(["tablet", "size"], [[name, "1"]])))
        cells = [each for each in tokens if each.type == "inline"]
        assert [token.type for token in cells[2].children] == ["text"] * len(cells[2].children)
        assert "".join(token.content for token in cells[2].children) == name.replace("\n", " ")
