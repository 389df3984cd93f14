from __future__ import annotations

import json
from dataclasses import replace
from functools import cache

import pytest
from workshop_layouts import HOSTILE, MADE, layout_of, piece_of, result_of, scenes_of, work_of

from fitcheck.makeable.worklist import worklist
from fitcheck.model.part import Build
from fitcheck.report.workshop import folder, step_files, workshop_files
from fitcheck.report.workshop.names import Names, safe, stem_of
from fitcheck.run import check_study
from fitcheck.study import Study


def made(text: str = MADE) -> dict[str, bytes]:
    found = list(workshop_files(work_of(text), result_of(layout_of(text)), made_on="2026-03-02"))
    assert len({name.casefold() for name, _ in found}) == len(found)
    return dict(found)


files = cache(made)
"""The same folder serves several tests."""


def test_what_the_folder_holds():
    names = set(files())
    pad = "pad_1__qty1__PA66-GF30__t8"
    for wanted in (f"cutting/{pad}.dxf", f"drawings/{pad}.pdf", f"solids/{pad}.stl", f"solids/{pad}.3mf",
                   f"solids/{pad}.step", "templates/pad_1__A4.pdf", "templates/pad_1__A3.pdf", "what_to_make.txt",
                   "drawings/angle__qty1__aluminium-5052__l220.pdf", "drawings/cap.pdf", "solids/foot.stl",
                   "templates/s2-drilling__A4.pdf", "dummy_module/dummy-m1-top__qty1__plywood__t3.dxf"):  # fmt: skip
        assert wanted in names, wanted
    assert "cutting/angle__qty1__aluminium-5052__l220.dxf" not in names, "a profile is not cut from sheet"
    assert all(part.isascii() and not set(part) & set('<>:"|?*\\ ') for part in names)


def test_the_same_study_gives_the_same_bytes():
    assert made() == files()


def test_the_list_names_every_piece_and_its_files():
    whole = files()
    text = whole["what_to_make.txt"].decode()
    for piece in work_of().pieces:
        assert f"{piece.quantity} × {piece.name}: " in text
        assert stem_of(piece) in text
    assert HOSTILE in text
    assert "folded or welded" in text
    assert "SETTLE FIRST, for every part: the workshop that ordered it checks the sizes against the part" in text


def test_without_the_extra_there_is_no_step_file_and_one_line_says_so(monkeypatch):
    monkeypatch.setattr(step_files, "is_available", lambda: False)
    whole = made()
    assert not [name for name in whole if name.endswith(".step")]
    assert whole["what_to_make.txt"].decode().count("no STEP files: they need the extra") == 1


def test_nothing_to_make_gives_no_files():
    bare = work_of()
    empty = replace(bare, pieces=(), joined=(), templates=())
    layout = layout_of()
    assert list(folder.files_of(empty, result_of(layout), "2026-03-02")) == []


def test_names_that_fall_together_are_kept_apart():
    names = Names()
    assert [names.give(safe(text)) for text in ("pad/1", "pad:1", "PAD 1", "other")] == [
        "pad-1", "pad-1-no2", "PAD-1-no3", "other",
    ]  # fmt: skip


@pytest.mark.parametrize(
    ("text", "name"),
    [("../../etc/passwd", "etc-passwd"), ("CON", "part-CON"), ("<>", "part"), ("a" * 90, "a" * 60), (".dot", "dot"),
     ("con.x", "part-con.x"), ("ＣＯＮ", "part-CON"), ("=1+1", "1-1"), ("a\u202eb", "a-b"), ("語" * 60, "語" * 30)],
)  # fmt: skip
def test_file_names_are_safe(text, name):
    assert safe(text) == name


SLY = (
    "../../x",
    "..\\\\..\\\\x",
    "=1+1",
    "CON",
    "con",
    "<script>",
    "𠮷" * 60,
    "𠮷" * 59 + "野",
    "a:b|c?*",
    "~",
    "\u202egnp.x",
)


def with_parts_of(names, width=lambda number: 60.0) -> str:
    """Pads of those names, of the longest name that a material may have."""
    more = "".join(
        f'  {json.dumps(name, ensure_ascii=False)}: {{like: pad_1, mass: 0.1, material: "{"木" * 60}", '
        f"shape: {{box: [{width(number)}, 40, 8]}}, low_corner: [600, 70, 0]}}\n"
        for number, name in enumerate(names)
    )
    return MADE.replace("  pad_2:", f"{more}  pad_2:")


def test_hostile_names_make_safe_and_unique_files():
    equal = [name for name in files(with_parts_of(SLY)) if name.startswith("cutting/")]
    assert len(equal) == 5, "equal pieces are one file"
    whole = files(with_parts_of(SLY, width=lambda number: 60.0 + number))
    assert len([name for name in whole if name.startswith("cutting/")]) == 4 + len(SLY)
    for name in whole:
        folder_, _, last = name.rpartition("/")
        assert folder_ in ("", "cutting", "drawings", "solids", "templates", "dummy_module", "gauges")
        assert len(last.encode()) <= 255
        assert all(letter.isalnum() or letter in "._-" for letter in last)
        assert last[0] not in ".-="
        assert last.split(".")[0].casefold() not in ("con", "prn", "aux", "nul")
    said = whole["what_to_make.txt"].decode()
    assert all(name in said for name in SLY if name.isprintable())


def test_the_list_for_programs_says_the_same():
    work = work_of()
    told = json.loads(files()["what_to_make.json"])
    assert told["layout"]["file"] == "bench.yaml"
    assert told["general_tolerance"] == "ISO 2768-m"
    assert [each["name"] for each in told["made"]] == [
        *(piece.name for piece in work.pieces), *(part.part for part in work.joined),
    ]  # fmt: skip
    pad, angle = (next(each for each in told["made"] if each["name"] == name) for name in ("pad_1", "angle"))
    assert (pad["how"], pad["quantity"], pad["material"]) == ("cut flat", 1, "PA66-GF30")
    assert pad["thickness_mm"] == {"nominal": 8.0, "below": 0.1, "above": 0.1}
    assert pad["face_mm"] == [60.0, 40.0]
    assert "chars the edge" in pad["to_settle"][0]["text"]
    assert pad["to_settle"][0]["source"]
    assert f"cutting/{pad['files']}.dxf" in files()
    assert (angle["how"], angle["length_mm"]["nominal"]) == ("sawn or turned", 220.0)
    assert told["made"][-1]["how"] == "by its drawing"


def test_parts_whose_names_become_alike_have_files_of_their_own():
    more = (
        '  "pad 2": {like: pad_1, material: POM, low_corner: [600, 70, 0]}\n'
        '  "pad:2": {like: pad_1, material: POM, shape: {box: [61, 40, 8]}, low_corner: [700, 70, 0]}\n'
    )
    twins = MADE.replace("  pad_2:", f"{more}  pad_2:")
    cuts = [name for name in files(twins) if name.startswith("cutting/pad-2")]
    assert sorted(cuts) == ["cutting/pad-2-no2__qty1__POM__t8.dxf", "cutting/pad-2__qty1__POM__t8.dxf"]
    assert piece_of(work_of(twins), "pad 2").size == (60.0, 40.0)


GROWN = MADE.replace("    mass: 10\n", "    mass: 10\n    grows: {y: 1.5 %}\n")


def test_the_list_says_once_for_each_kit_how_much_the_module_grows():
    text = " ".join(files(GROWN)["what_to_make.txt"].decode().split())
    assert text.count("By the end of life it grows by up to 3.01 in its y, to 400.5 × 203.31 × 120.4") == 1
    assert text.count("does not prove that the module still fits then") == 1
    assert text.count("the module at the end of life, at its largest within tolerance") == 1
    assert "dummy_module/dummy-m1-end-of-life-top__qty1__plywood__t3.dxf" in files(GROWN)


def test_without_a_general_tolerance_every_part_has_that_to_settle():
    bare = MADE.replace("general_tolerance: ISO 2768-m\n", "")
    told = json.loads(files(bare)["what_to_make.json"])
    for each in told["made"]:
        texts = [entry["text"] for entry in each["to_settle"]]
        assert any("states no general tolerance" in text for text in texts) == (each["kind"] == "part")
    assert "has no part to check against" in told["settle_for_every_part"]
    text = files(bare)["what_to_make.txt"].decode()
    parts = sum(each["kind"] == "part" for each in told["made"])
    assert text.count("SETTLE FIRST: The layout states no general tolerance") == parts
    assert "states no general tolerance" not in files()["what_to_make.txt"].decode()


def test_a_drawing_names_its_cut_file_and_its_number():
    import pypdfium2

    stem = "pad_1__qty1__PA66-GF30__t8"
    page = pypdfium2.PdfDocument(files()[f"drawings/{stem}.pdf"])[0].get_textpage().get_text_bounded()
    assert f"cutting/{stem}.dxf" in page
    assert page.count(stem) == 2, "its number, and the cut file"


def test_sizes_are_named_the_longer_side_first():
    tall = MADE.replace("shape: {box: [60, 40, 8 ± 0.1]}", "shape: {box: [30, 284, 8 ± 0.1]}")
    assert "pad_1: PA66-GF30, 284 × 30, thickness 8" in files(tall)["what_to_make.txt"].decode()
    told = json.loads(files(tall)["what_to_make.json"])
    assert next(each["face_mm"] for each in told["made"] if each["name"] == "pad_1") == [284.0, 30.0]


def test_gauges_of_parts_with_long_names_are_told_apart_by_both_names():
    from fitcheck.makeable.piece import Piece
    from fitcheck.model.quantity import exact

    def gauge(one: str, other: str) -> Piece:
        from fitcheck.makeable.contour import rectangle

        return Piece(
            name=f"gauge {one} {other}", kind="gauge", outline=rectangle(170, 34), thickness=exact("t", 3),
            width=exact("w", 170), height=exact("h", 34), of_parts=(f"{one} – {other}",),
        )  # fmt: skip

    long = "traction_module_of_the_front_row_"
    stems = [stem_of(gauge(f"{long}{number}_with_a_long_name", f"case_{number}")) for number in (1, 2)]
    assert stems == [
        "gauge-traction_module_of_the_fro-case_1__qty1__FR4__t3",
        "gauge-traction_module_of_the_fro-case_2__qty1__FR4__t3",
    ]


def test_a_pack_of_many_modules_with_equal_gaps_has_one_gauge_and_its_drawing():
    """6 x 8 modules 3 mm apart: 82 pairs share a gauge; its drawing names a few and the list names all."""
    head = MADE[: MADE.index("  m1:\n")]
    kind = "role: module, change: new, mass: 1, shape: {box: [50, 50, 40]}"
    cells = "".join(
        f"  traction_module_with_a_long_name_{row}_{column}: "
        f"{{{kind}, low_corner: [{20 + 53 * column}, {20 + 53 * row}, 1]}}\n"
        for row in range(6)
        for column in range(8)
    )
    layout = layout_of(f"{head}{cells}gaps: [{{between: [every module, every module], at_least: 2}}]\n")
    study = Study(layout, lambda mesh: None)
    result = result_of(layout, check_study(study, Build.PROPOSED).findings)
    work = worklist(layout, scenes_of(layout), result)
    (gauge,) = [piece for piece in work.pieces if piece.kind == "gauge"]
    assert len(gauge.of_parts) == 6 * 7 + 5 * 8
    whole = dict(workshop_files(work, result, made_on="2026-03-02"))
    assert sum(name.startswith("gauges/") for name in whole) == 2
    text = " ".join(whole["what_to_make.txt"].decode().split())
    assert all(pair in text for pair in gauge.of_parts)
    assert any("no faces lie opposite each other" in each for each in work.skipped), "modules corner to corner"
