"""The tables of a study as CSV and as a workbook, read back by other libraries than the ones that write them."""

from __future__ import annotations

import csv
import io
import zipfile

import openpyxl
import pytest
from made_up import NOT_MET, OVERLAPPING, UNCHECKED, result
from workshop_layouts import work_of

from fitcheck.model.layout import Layout
from fitcheck.report import as_csv, as_ledger_csv, as_xlsx, study_tables
from fitcheck.report.table import Table
from fitcheck.report.workshop.made import made_of
from fitcheck.result_study import StudyResult

DANGEROUS = ("=1+1", "+1", "-1", "@SUM(A1)", "\t=1", "\r=1", "＝1+1", "\n=1", '=HYPERLINK("http://x","y")', "  =1+1")


def layout() -> Layout:
    return Layout(
        file="shuttle.yaml", title="Crew shuttle", sha256="ab" * 32, axes=("rearward", "right", "up"), datum="corner",
        judge_by="worst case", parts=(),
    )  # fmt: skip


def study(*findings, **more) -> StudyResult:
    return StudyResult(check=result(*findings, **more), balance=result(UNCHECKED, verb="balance"))


def rows_of(table):
    return list(csv.reader(io.StringIO(as_csv.render(table).decode("utf-8-sig"), newline="")))


def book_of(tables, about=()):
    return openpyxl.load_workbook(io.BytesIO(as_xlsx.render(tables, about)))


def table(*rows, head=("text", "number")) -> Table:
    return Table(name="made_up", sheet="Made up", head=head, rows=rows)


@pytest.mark.parametrize("text", DANGEROUS)
def test_what_a_spreadsheet_would_run_is_made_inert(text):
    assert rows_of(table((text, 1)))[1] == [f"'{text}", "1"]
    cell = book_of([table((text, 1))])["Made up"]["A2"]
    assert (cell.data_type, cell.quotePrefix) == ("s", True)
    # XML keeps no carriage return and openpyxl reads its escape literally.
    assert cell.value.replace("_x000D_", "\r") == text


@pytest.mark.parametrize("text", ["plain", "a=b", "ö ± 0.5", "'quoted", 'say "x", y', "two\nlines", "<b>&amp;"])
def test_other_text_is_left_as_it_is(text):
    assert rows_of(table((text, 1)))[1] == [text, "1"]
    cell = book_of([table((text, 1))])["Made up"]["A2"]
    assert (cell.value, bool(cell.quotePrefix)) == (text, False)


@pytest.mark.parametrize(
    ("number", "written"), [(1, "1"), (-2.5, "-2.5"), (0.1 + 0.2, "0.3"), (-1e-9, "0"), (1234.5678912, "1234.567891")]
)
def test_numbers_are_numbers(number, written):
    assert rows_of(table(("x", number)))[1] == ["x", written]
    cell = book_of([table(("x", number))])["Made up"]["B2"]
    assert cell.data_type == "n"
    assert cell.value == float(written)


def test_what_is_unknown_is_empty():
    assert rows_of(table(("x", None)))[1] == ["x", ""]
    assert book_of([table(("x", None))])["Made up"]["B2"].value is None


def test_csv_opens_with_the_mark_that_spreadsheets_need():
    assert as_csv.render(table(("±", 1))).startswith(b"\xef\xbb\xbftext,number\r\n\xc2\xb1,1\r\n")


def test_the_workbook_is_free_of_the_hour_at_which_it_was_made(monkeypatch):
    first = as_xlsx.render([table(("x", 1))], [("made on", "2026-03-02")])
    monkeypatch.setenv("TZ", "Pacific/Auckland")
    assert as_xlsx.render([table(("x", 1))], [("made on", "2026-03-02")]) == first
    with zipfile.ZipFile(io.BytesIO(first)) as package:
        assert {info.date_time for info in package.infolist()} == {(1980, 1, 1, 0, 0, 0)}
        assert b"2000-01-01T00:00:00Z" in package.read("docProps/core.xml")


def test_an_empty_table_keeps_its_head():
    sheet = book_of([table()])["Made up"]
    assert [cell.value for cell in sheet[1]] == ["text", "number"]
    assert sheet.max_row == 1


def test_a_text_longer_than_a_cell_holds_is_cut_there():
    assert len(book_of([table(("x" * 40_000, 1))])["Made up"]["A2"].value) == 32_767


def test_the_cut_list_says_what_is_open_and_names_what_is_not_cut_flat():
    made = made_of(work_of())
    (_, _, cuts, _) = study_tables.tables(study(), layout(), made)
    rows = [dict(zip(cuts.head, row, strict=True)) for row in cuts.rows]
    assert len(rows) == len(made)
    pad, cap, top = (next(row for row in rows if row["part"] == name) for name in ("pad_1", "cap", "dummy m1 top"))
    assert [pad[name] for name in ("piece_mm", "piece_below_mm", "pieces", "length_mm", "width_mm", "kind", "how")] == [
        8.0, 0.1, 1, 60.0, 40.0, "part", "cut flat",
    ]  # fmt: skip
    assert "chars the edge" in pad["to_settle"]
    assert (cap["how"], cap["piece_mm"], cap["files"]) == ("by its drawing", None, "cap")
    assert top["kind"] == "dummy module"


def test_a_sheet_can_be_read_and_printed():
    wide = Table(name="w", sheet="Wide", head=("a", "b", *("x" * 12 for _ in range(28))), keys=2,
                 rows=(("long " * 60, "b", *(1.5 for _ in range(28))),))  # fmt: skip
    book = book_of([wide, table(("x", 1))])
    sheet = book["Wide"]
    assert sheet.freeze_panes == "C2"
    assert sheet.auto_filter.ref == "A1:AD2"
    assert (sheet.print_title_rows, sheet.print_title_cols) == ("$1:$1", "$A:$B")
    assert sheet.page_setup.fitToWidth == 3, "letters too small to read are printed on more pages"
    assert (book["Made up"].page_setup.fitToWidth or 1) == 1
    assert sheet.column_dimensions["A"].width >= 60
    # 300 letters in a column of 60 are five to six lines of 13.5 points.
    assert 5 * 13.5 < sheet.row_dimensions[2].height < 7 * 13.5
    assert sheet["C2"].number_format == "0.000"
    assert book["Made up"]["B2"].number_format == "0"


def test_findings_stand_worst_first_with_their_points():
    (findings, *_) = study_tables.tables(study(UNCHECKED, OVERLAPPING, NOT_MET), layout(), ())
    rows = [dict(zip(findings.head, row, strict=True)) for row in findings.rows]
    assert [(row["check"], row["status"], row["layout"]) for row in rows] == [
        ("overlap", "not met", "as written"),
        ("gap", "not met", "as written"),
        ("clearance", "not checked", "as written"),
    ]
    gap = rows[1]
    assert [gap[name] for name in ("parts", "value", "low", "high", "unit", "sense", "required")] == [
        "m1; case", 4.2, 3.7, 4.7, "mm", "at least", 5.0,
    ]  # fmt: skip
    assert gap["to_spare"] == pytest.approx(-1.3, abs=1e-12)
    assert [gap[name] for name in ("from_x_mm", "from_y_mm", "from_z_mm", "to_x_mm")] == [10.0, 30.0, 40.0, 5.8]
    assert (rows[2]["value"], rows[2]["required"], rows[2]["from_x_mm"]) == (None, None, None)


def test_the_ledger_says_the_same_as_the_one_of_the_balance_verb():
    whole = study()
    ledger = study_tables.tables(whole, layout(), ())[1]
    assert as_csv.render(ledger).decode("utf-8-sig") == as_ledger_csv.render(whole.balance.balance)


def test_the_values_taken_as_exact_and_the_guesses_are_told_apart():
    exact = study_tables.taken_as_exact(study())
    rows = [dict(zip(exact.head, row, strict=True)) for row in exact.rows]
    assert [(row["value_of"], row["taken_as"]) for row in rows] == [
        ("lid.x", "exact"), ("lid.y", "exact"), ("duct.mass", "a guess"),
    ]  # fmt: skip
    assert (rows[2]["nominal"], rows[2]["below"], rows[2]["unit"]) == (0.8, 0.2, "kg")


def test_an_empty_sheet_says_why_there_is_nothing_on_it():
    empty = Table(name="made_up", sheet="Made up", head=("text",), rows=(), none="the layout states none")
    sheet = book_of([empty])["Made up"]
    assert [cell.value for cell in sheet["A"]] == ["text", "none: the layout states none"]
