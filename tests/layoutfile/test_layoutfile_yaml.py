"""YAML with positions: what is refused before a layout is looked at, and how scalars are read."""

from __future__ import annotations

import pytest
from written import layout_text, only, place_of, problems, read

from fitcheck.errors import LayoutErrors
from fitcheck.layoutfile import yamltext
from fitcheck.layoutfile.read import read_layout

BOX = "  m1: {role: module, change: new, shape: {box: [%s, 168, 126]}, mass: 11.9, low_corner: [10, 10, 0]}\n"


@pytest.mark.parametrize(
    ("text", "line", "column", "what"),
    [
        ("", 1, 1, "the file is empty"),
        ("# nothing\n", 1, 1, "the file is empty"),
        ("- 1\n", 1, 1, "a mapping of sections"),
        ("just text\n", 1, 1, "a mapping of sections"),
        ("a: [1\nb: 2\n", 2, 2, "not YAML"),
        ("a: 'x\n", 2, 1, "not YAML"),
        ("a:\n\tb: 1\n", 2, 1, "not YAML"),
        ("a: b: c\n", 1, 5, "not YAML"),
        ("a: 1\n---\nb: 2\n", 2, 1, "a second document"),
        ("a: *b\n", 1, 4, "stands for nothing"),
        ("a: &b [*b]\n", 1, 8, "stands for nothing"),
        ("a: 1\nb: \x07\n", 2, 4, "code 0x0007"),
        ("é: " + "[" * 60, 1, 43, "nested deeper than 40 levels"),
    ],
)
def test_not_a_layout(text, line, column, what):
    problem = only(text)
    assert (problem.at.file, problem.at.line, problem.at.column) == ("bay.yaml", line, column)
    assert what in problem.what


def test_a_tag_and_a_key_that_is_a_list():
    text = layout_text(BOX % "!!int 410" + "  ? [a]\n  : 3\n")
    found = {problem.what: (problem.at.line, problem.at.column) for problem in problems(text)}
    assert found["the tag tag:yaml.org,2002:int means nothing here"] == place_of(text, "!!int")
    assert found["a key must be one text"] == place_of(text, "[a]")


def test_a_file_beyond_the_limit_is_not_parsed(monkeypatch):
    monkeypatch.setattr(yamltext, "MOST_CHARACTERS", 20)
    assert "longer than 20 characters" in only(layout_text(BOX % 410)).what


def test_aliases_within_the_limit_are_read():
    size = "  m1: {role: module, change: new, shape: &s {box: [410, 168, 126]}, mass: 9, low_corner: [10, 10, 0]}\n"
    layout = read(
        layout_text(size + "  m2: {role: module, change: new, shape: *s, mass: 9, low_corner: [10, 200, 0]}\n")
    )
    assert layout.quantities["m2.x"].nominal == 410.0
    assert layout.quantities["m2.x"].at == layout.quantities["m1.x"].at


@pytest.mark.parametrize("written", ["1e3", "1000", "1000.0", '"1000"', "01000", "+1000"])
def test_numbers_by_the_core_rules(written):
    assert read(layout_text(BOX % written)).quantities["m1.x"].nominal == 1000.0


@pytest.mark.parametrize("written", ["12:30", "yes", "1_000", "true", "2026-03-02"])
def test_what_is_no_number(written):
    text = layout_text(BOX % written)
    problem = only(text)
    assert problem.what == f"{written!r} is no length"
    assert (problem.at.line, problem.at.column) == place_of(text, written)


@pytest.mark.parametrize("name", ["yes", "no", "on", "off", "true", "12", "1e3", "12:30", "ü-1", "service disconnect"])
def test_words_that_other_yaml_readers_would_change_stay_names(name):
    below = f"contacts:\n  - [{name}, case]\n"
    part = (BOX % 410).replace("m1:", f"{name}:")
    layout = read(layout_text(part, below=below))
    assert layout.parts[1].name == name
    assert layout.contacts == ((name, "case"),)


def test_columns_count_characters_not_bytes():
    text = layout_text(BOX % "410 ± µ")
    problem = only(text)
    assert (problem.at.line, problem.at.column) == place_of(text, "410 ± µ")


def test_a_comma_without_a_space_is_fine_where_all_are_so():
    assert read(layout_text((BOX % 410).replace(", 168, 126", ",168,126"))).quantities["m1.z"].nominal == 126.0


def test_a_decimal_comma_before_place_words():
    text = layout_text(
        "  m1: {role: module, change: new, shape: {box: [410, 168, 126]}, mass: 9,\n"
        "       place: {front: 12,5 clear of case inside front, left: flush with case, bottom: on case floor}}\n"
    )
    problem = only(text)
    assert problem.mend == "write 12.5 clear of case inside front"
    assert (problem.at.line, problem.at.column) == place_of(text, "12,5")


def test_an_empty_value_stands_at_its_key():
    text = layout_text(BOX % 410, below="gaps:\nlist_within: ~\n")
    assert [(problem.at.line, problem.at.column, problem.what) for problem in problems(text)] == [
        (*place_of(text, "gaps"), "'gaps' has no value"),
        (*place_of(text, "list_within"), "'list_within' has no value"),
    ]


def test_a_file_that_is_not_there(tmp_path):
    with pytest.raises(LayoutErrors, match="the file cannot be read: No such file"):
        read_layout(tmp_path / "none.yaml")


def test_a_folder_is_no_file(tmp_path):
    with pytest.raises(LayoutErrors, match="the file cannot be read"):
        read_layout(tmp_path)


def test_a_file_that_is_not_utf8(tmp_path):
    path = tmp_path / "old.yaml"
    path.write_bytes("fitcheck: 1\ntitle: M\xfcll\n".encode("latin-1"))
    with pytest.raises(LayoutErrors) as caught:
        read_layout(path)
    (problem,) = caught.value.problems
    assert (problem.at.line, problem.at.column, problem.what) == (2, 9, "the file is not UTF-8 text")


def test_a_byte_order_mark_and_windows_line_ends_are_fine(tmp_path):
    path = tmp_path / "windows.yaml"
    path.write_bytes(b"\xef\xbb\xbf" + layout_text(BOX % 410).replace("\n", "\r\n").encode())
    layout = read_layout(path)
    assert layout.file == str(path)
    assert layout.quantities["m1.x"].at.line == 9
    assert len(layout.sha256) == 64
