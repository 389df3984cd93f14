from __future__ import annotations

import json
from dataclasses import replace
from functools import cache

import pytest
from workshop_layouts import HOSTILE, MADE, layout_of, piece_of, result_of, work_of

from fitcheck.report.workshop import folder, step_files, workshop_files
from fitcheck.report.workshop.names import Names, safe, stem_of


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
                   "templates/s2-drilling__A4.pdf", "dummy_module/dummy-m1-top__qty1__wood-sheet__t3.dxf"):  # fmt: skip
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
    assert "CHECK EACH SIZE AGAINST THE PART BEFORE CUTTING" in text


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
        "pad-1", "pad-1_2", "PAD-1_3", "other",
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
    assert sorted(cuts) == ["cutting/pad-2__qty1__POM__t8.dxf", "cutting/pad-2__qty1__POM__t8_2.dxf"]
    assert piece_of(work_of(twins), "pad 2").size == (60.0, 40.0)
