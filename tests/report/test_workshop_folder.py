from __future__ import annotations

from dataclasses import replace
from functools import cache

import pytest
from workshop_layouts import HOSTILE, MADE, layout_of, piece_of, result_of, scenes_of, work_of

from fitcheck.report.workshop import folder, step_files, workshop_files
from fitcheck.report.workshop.names import Names, safe, stem_of


def made(text: str = MADE) -> dict[str, bytes]:
    layout = layout_of(text)
    found = list(workshop_files(layout, scenes_of(layout), result_of(layout), made_on="2026-03-02"))
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
    [("../../etc/passwd", "etc-passwd"), ("CON", "part-CON"), ("<>", "part"), ("a" * 90, "a" * 60), (".dot", "dot")],
)  # fmt: skip
def test_file_names_are_safe(text, name):
    assert safe(text) == name


def test_parts_whose_names_become_alike_have_files_of_their_own():
    more = (
        '  "pad 2": {like: pad_1, material: POM, low_corner: [600, 70, 0]}\n'
        '  "pad:2": {like: pad_1, material: POM, shape: {box: [61, 40, 8]}, low_corner: [700, 70, 0]}\n'
    )
    twins = MADE.replace("  pad_2:", f"{more}  pad_2:")
    cuts = [name for name in files(twins) if name.startswith("cutting/pad-2")]
    assert sorted(cuts) == ["cutting/pad-2__qty1__POM__t8.dxf", "cutting/pad-2__qty1__POM__t8_2.dxf"]
    assert piece_of(work_of(twins), "pad 2").size == (60.0, 40.0)
