from __future__ import annotations

import pytest
from workshop_layouts import MADE, work_of

CAP = "shape: {tray: {inside: [100, 80, 30], wall: 2, floor: 2, lip: {width: 6, thickness: 2}}}"


def says_of(part: str, text: str = MADE) -> str:
    found = next(each for each in work_of(text).joined if each.part == part)
    return " ".join((found.why, *found.says))


def test_a_metal_tray_says_why_it_has_no_flat_pattern_and_what_the_shop_needs():
    text = says_of("cap", MADE.replace("material: PC", "material: aluminium 5052"))
    for said in ("folded or welded", "inside 100 ± 0.3 × 80 ± 0.3 × 30 ± 0.2", "wall 2 ± 0.1, floor 2 ± 0.1",
                 "no flat pattern is made", "K-factor alone, 0.3 to 0.5, moves it by 0.63 mm with each bend of 2 mm",
                 "read on two independent public pages", "the sizes inside count", "inner radius"):  # fmt: skip
        assert said in text, said


def test_a_tray_of_two_thicknesses_is_not_folded():
    thick = MADE.replace(CAP, CAP.replace("floor: 2", "floor: 4")).replace("material: PC", "material: steel")
    assert "cannot be folded from one sheet" in says_of("cap", thick)
    assert "K-factor" not in says_of("cap", thick)


def test_a_tray_of_plastic_speaks_of_no_bends():
    assert "folded hot, glued, milled or printed" in says_of("cap")
    assert "K-factor" not in says_of("cap")


@pytest.mark.parametrize(("material", "count"), [("steel", 1), ("aluminium 5052", 0), ("PC", 0)])
def test_a_metal_without_a_grade_is_said_of_a_joined_part_too(material, count):
    text = MADE.replace(
        "    material: steel\n    shape:\n      group", f"    material: {material}\n    shape:\n      group"
    )
    assert says_of("foot", text).count("without a grade or temper") == count
    assert "how they are joined the layout does not say" in says_of("foot", text)


def test_equal_joined_parts_are_one_with_their_number():
    twin = "  foot_2: {like: foot, low_corner: [600, 460, 0]}\n"
    turned = "  foot_3: {like: foot, turn: {z: 90}, low_corner: [700, 300, 0]}\n"
    feet = [
        part for part in work_of(MADE.replace("screws:\n", f"{twin}{turned}screws:\n")).joined if part.part != "cap"
    ]
    assert [(part.part, part.quantity, part.of_parts) for part in feet] == [
        ("foot", 2, ("foot", "foot_2")), ("foot_3", 1, ("foot_3",)),
    ]  # fmt: skip


@pytest.mark.parametrize(
    ("material", "how"),
    [("FR4", "glued from plates or milled"), ("silicone foam", "cut from a block, glued from sheet or moulded")],
)
def test_how_a_tray_comes_about_suits_its_material(material, how):
    assert f"whether it is {how} is for the shop to say" in says_of("cap", MADE.replace("PC", material))
