"""`fitcheck study`: the folder and what is in it."""

from __future__ import annotations

import csv
import hashlib
import io
import json
from pathlib import Path

import openpyxl
import pypdfium2
import pytest
from study_layouts import WHOLE

from fitcheck.__main__ import main
from fitcheck.cli.folder import with_sums, write_folder
from fitcheck.errors import UsageError
from fitcheck.report.result_file import ResultFile

DEMO = Path(__file__).parents[2] / "demo_geometry"


@pytest.fixture(scope="module")
def made(tmp_path_factory):
    """(layout, folder, exit status) of one study with everything in it."""
    place = tmp_path_factory.mktemp("study")
    layout, folder = place / "bay.yaml", place / "out"
    layout.write_text(WHOLE, encoding="utf-8")
    status = main(["study", str(layout), "-o", str(folder), "--quiet", "--date", "2026-03-02"])
    return layout, folder, status


def test_the_status_is_that_of_all_parts(made):
    # The clear height as written is 40, at most 22 is asked for; with the pad found it is met.
    assert made[2] == 1
    result = json.loads((made[1] / "result.json").read_text(encoding="utf-8"))
    assert result["verdict"] == "does not fit"
    assert result["verdicts"]["check"] == "does not fit"
    assert result["verdicts"]["balance"] == "fits"
    assert result["solved"]["heights_found"] is True


def test_the_folder_holds_everything_that_the_layout_states(made):
    names = {path.relative_to(made[1]).as_posix() for path in made[1].rglob("*") if path.is_file()}
    assert {
        "START_HERE.txt", "study.html", "study.pdf", "study.txt", "study.xlsx", "result.json", "findings.csv",
        "ledger.csv", "cut_list.csv", "fasteners.csv", "owner.html", "owner.pdf", "solved_layout.yaml",
        "what_to_make.txt", "files.txt", "pictures/plan.png", "pictures/plan.svg", "pictures/section_1.svg",
        "pictures/solved_side.png",
        "pictures/original_end.svg", "pictures/stack_1.png",
    } <= names  # fmt: skip
    assert {name.partition("/")[0] for name in names if "/" in name} >= {"cutting", "drawings", "solids", "templates"}
    assert not [name for name in names if name.startswith(".")]


def test_the_list_of_files_holds_the_sum_of_each(made):
    lines = (made[1] / "files.txt").read_text(encoding="utf-8").splitlines()
    names = {path.relative_to(made[1]).as_posix() for path in made[1].rglob("*") if path.is_file()} - {"files.txt"}
    assert {line[66:] for line in lines} == names
    assert all(hashlib.sha256((made[1] / line[66:]).read_bytes()).hexdigest() == line[:64] for line in lines)


def test_the_index_names_every_file_or_its_folder(made):
    said = (made[1] / "START_HERE.txt").read_text(encoding="utf-8")
    for path in made[1].iterdir():
        if path.name != "START_HERE.txt":
            assert f"  {path.name}" in said, path.name
    assert "Also here" not in said


def test_the_result_is_one_object_of_the_published_form(made):
    text = (made[1] / "result.json").read_text(encoding="utf-8")
    ResultFile.model_validate_json(text)
    result = json.loads(text)
    assert result["verb"] == "study"
    assert [row["part"] for row in result["heights"]] == ["+pad <1>"]
    assert [row["screw"] for row in result["screws"]] == ["hold_down"]
    assert result["balance"]["vehicle"]["after"]["total_kg"] == pytest.approx(
        2980 - 30 + 12 + result["balance"]["ledger"][1]["mass_kg"], abs=1e-6
    )
    checks = {(one["check"], *one["parts"]): one["status"] for one in result["findings"]}
    solved = {(one["check"], *one["parts"]): one["status"] for one in result["solved"]["findings"]}
    assert checks["clear height", "m1", "lid"] == "not met"
    assert solved["clear height", "m1", "lid"] == "met"
    assert checks["axle load", "rear axle"] == "met"


def test_json_on_standard_output_is_the_file(made, capsys):
    assert main(["study", str(made[0]), "--json", "--quiet"]) == 1
    assert capsys.readouterr().out == (made[1] / "result.json").read_text(encoding="utf-8")


def test_text_on_standard_output_is_the_file(made, capsys):
    assert main(["study", str(made[0])]) == 1
    said = capsys.readouterr().out
    assert said == (made[1] / "study.txt").read_text(encoding="utf-8")
    order = [said.index(words) for words in ("STUDY VERDICT: DOES NOT FIT", "PART 1.", "PART 2.", "PART 3.")]
    assert order == sorted(order)
    assert said.count("Before anybody picks up a tool") == 1
    assert "As written: does not fit; with the heights found: fits." in said


def test_a_layout_that_has_the_heights_found_is_told_once(made, tmp_path):
    layout = tmp_path / "solved.yaml"
    narrow = (made[1] / "solved_layout.yaml").read_text(encoding="utf-8").replace("200 ± 1, 150", "146 ± 1, 150")
    layout.write_text(narrow, encoding="utf-8")
    folder = tmp_path / "out"
    assert main(["study", str(layout), "-o", str(folder), "--quiet"]) == 1
    assert not list((folder / "pictures").glob("solved_*"))
    rows = list(csv.DictReader(io.StringIO((folder / "findings.csv").read_text(encoding="utf-8-sig"))))
    assert {row["layout"] for row in rows} == {"as written"}
    assert [row["to_mend"] for row in rows if row["check"] == "gap" and row["status"] == "not met"] != []
    told = (folder / "study.txt").read_text(encoding="utf-8")
    assert "The layout already has the heights found" in told
    first, _, rest = told.partition("PART 2.")
    second = rest.partition("PART 3.")[0]
    assert "gap between case and m1" in first
    assert "gap between case and m1" not in second
    assert "clear height of m1 and lid" in second
    page = (folder / "study.html").read_text(encoding="utf-8")
    assert "with the heights found, without tolerances" not in page


def test_one_line_where_no_more_is_wanted(made, capsys):
    assert main(["study", str(made[0]), "--quiet"]) == 1
    assert capsys.readouterr().out == f"{made[0]}: does not fit (check: does not fit; heights: fits; balance: fits)\n"


def test_the_same_layout_gives_the_same_bytes(made, tmp_path):
    assert main(["study", str(made[0]), "-o", str(tmp_path), "--quiet", "--date", "2026-03-02"]) == 1
    assert (tmp_path / "files.txt").read_bytes() == (made[1] / "files.txt").read_bytes()


def test_the_tables_agree_with_the_result(made):
    result = json.loads((made[1] / "result.json").read_text(encoding="utf-8"))
    rows = list(csv.DictReader(io.StringIO((made[1] / "findings.csv").read_text(encoding="utf-8-sig"))))
    assert len(rows) == len(result["findings"]) + len(result["solved"]["findings"])
    (height,) = [row for row in rows if row["check"] == "clear height" and row["layout"] == "as written"]
    assert (height["status"], height["value"], height["required"], height["sense"]) == (
        "not met",
        "42",
        "22",
        "at most",
    )
    whole = list(csv.DictReader(io.StringIO((made[1] / "cut_list.csv").read_text(encoding="utf-8-sig"))))
    cuts = [row for row in whole if row["kind"] == "part"]
    found = result["heights"][0]
    assert sorted(float(row["piece_mm"]) for row in cuts for _ in range(int(row["pieces"]))) == sorted(found["pieces"])
    assert {row["part"] for row in cuts} == {"'+pad <1>"}
    for row in whole:
        folder = {"part": "cutting", "gauge": "gauges", "dummy module": "dummy_module"}[row["kind"]]
        assert (made[1] / folder / f"{row['files']}.dxf").is_file()
    told = json.loads((made[1] / "what_to_make.json").read_text(encoding="utf-8"))
    assert [each["files"] for each in told["made"]] == [row["files"] for row in whole]
    screws = list(csv.DictReader(io.StringIO((made[1] / "fasteners.csv").read_text(encoding="utf-8-sig"))))
    assert [(row["what"], row["standard"], row["places"], row["to_buy"], row["length_mm"]) for row in screws] == [
        ("screw", "ISO 4762", "2", "4", "45"),
        ("washer", "ISO 7089", "2", "4", ""),
    ]


def test_the_workbook_holds_the_same_rows(made):
    book = openpyxl.load_workbook(made[1] / "study.xlsx")
    assert book.sheetnames == ["Findings", "Ledger", "Cut list", "Fasteners", "Values taken as exact", "About"]
    for sheet, name in (("Findings", "findings"), ("Ledger", "ledger"), ("Cut list", "cut_list")):
        rows = list(csv.reader(io.StringIO((made[1] / f"{name}.csv").read_text(encoding="utf-8-sig"))))
        cells = list(book[sheet].iter_rows(values_only=True))
        assert [list(cells[0]), len(cells)] == [rows[0], len(rows)]
    assert not [cell for sheet in book for row in sheet for cell in row if cell.data_type == "f"]
    about = {row[0]: row[1] for row in book["About"].iter_rows(values_only=True)}
    assert (about["title"], about["made on"]) == ("=cmd() <b>bay</b>", "2026-03-02")


def test_the_solved_layout_fits(made, tmp_path, capsys):
    assert main(["check", str(made[1] / "solved_layout.yaml"), "--quiet"]) == 0
    capsys.readouterr()


def test_the_paper_names_verdict_pages_and_fingerprint(made):
    paper = pypdfium2.PdfDocument(made[1] / "study.pdf")
    pages = [page.get_textpage().get_text_range() for page in paper]
    digest = hashlib.sha256(WHOLE.encode()).hexdigest()
    assert "DOES NOT FIT" in pages[0]
    assert digest in pages[0].replace("\r\n", "")
    for number, text in enumerate(pages, 1):
        assert f"page {number} of" in text
        assert digest[:16] in text
    assert f"{len(pages)}" in pages[0].split("page 1 of")[1]
    whole = " ".join(" ".join(pages).split())
    for words in ("What decides it", "clear height of m1 and lid", "hold_down", "What each part adds", "+pad <1>",
                  "where each rule was read", "Before anybody picks up a tool", "2026-03-02"):  # fmt: skip
        assert words in whole, words
    titles = [entry.get_title() for entry in paper.get_toc()]
    assert "What the verdict does not speak of" in titles
    assert "Findings with the heights found, worst first" in titles


def test_a_refused_layout_leaves_the_report_that_stands_there(tmp_path, capsys):
    folder = tmp_path / "out"
    write_folder(folder, with_sums({"study.html": b"old", "pictures/plan.png": b"old"}))
    layout = tmp_path / "bay.yaml"
    layout.write_text(WHOLE.replace("role: lid", "role: lit"), encoding="utf-8")
    assert main(["study", str(layout), "-o", str(folder)]) == 2
    assert "unknown word 'lit'" in capsys.readouterr().err
    assert (folder / "study.html").read_bytes() == b"old"
    assert (folder / "pictures" / "plan.png").read_bytes() == b"old"


def test_a_folder_that_cannot_be_written_loses_nothing(tmp_path):
    write_folder(tmp_path, with_sums({"study.html": b"old"}))
    (tmp_path / "pictures").write_bytes(b"a file of that name")
    with pytest.raises(UsageError, match="cannot be written"):
        write_folder(tmp_path, with_sums({"study.html": b"new", "pictures/plan.png": b"new"}))
    assert (tmp_path / "pictures").read_bytes() == b"a file of that name"
    assert (tmp_path / "study.html").read_bytes() == b"old"
    assert not [path.name for path in tmp_path.iterdir() if path.name.startswith(".")]


def test_a_date_that_is_none_is_refused(made, capsys):
    assert main(["study", str(made[0]), "--date", "3rd May"]) == 2
    assert "'3rd May' is not a date" in capsys.readouterr().err


def test_a_layout_without_heights_and_vehicle_has_no_files_of_them(tmp_path, capsys):
    layout = tmp_path / "bay.yaml"
    assert main(["new", str(layout)]) == 0
    assert main(["study", str(layout), "-o", str(tmp_path / "out"), "--quiet"]) == 0
    names = {path.name for path in (tmp_path / "out").iterdir()}
    assert not {"owner.html", "owner.pdf", "solved_layout.yaml", "fasteners.csv"} & names
    assert {"study.html", "study.pdf", "findings.csv"} <= names
    assert "solved" not in json.loads((tmp_path / "out" / "result.json").read_text(encoding="utf-8"))
    capsys.readouterr()


def test_a_later_report_takes_away_what_it_has_not_and_what_nobody_has_changed(tmp_path):
    write_folder(tmp_path, with_sums({"study.html": b"1", "cutting/a.dxf": b"2", "cutting/b.dxf": b"3"}))
    (tmp_path / "cutting" / "b.dxf").write_bytes(b"mine now")
    (tmp_path / "cutting" / "c.dxf").write_bytes(b"mine")
    write_folder(tmp_path, with_sums({"study.html": b"4"}))
    left = {path.relative_to(tmp_path).as_posix() for path in tmp_path.rglob("*") if path.is_file()}
    assert left == {"study.html", "files.txt", "cutting/b.dxf", "cutting/c.dxf"}


def test_an_empty_folder_of_an_earlier_report_goes(tmp_path):
    write_folder(tmp_path, with_sums({"study.html": b"1", "solids/x/a.stl": b"2"}))
    write_folder(tmp_path, {"report.txt": b"3"})
    assert [path.name for path in tmp_path.iterdir()] == ["report.txt"]


def test_a_list_of_files_never_reaches_out_of_the_folder(tmp_path):
    outside = tmp_path / "outside.txt"
    outside.write_bytes(b"keep")
    folder = tmp_path / "out"
    folder.mkdir()
    sums = hashlib.sha256(b"keep").hexdigest()
    (folder / "files.txt").write_text(f"{sums}  ../outside.txt\n{sums}  {outside}\n", encoding="utf-8")
    write_folder(folder, {"report.txt": b""})
    assert outside.read_bytes() == b"keep"
