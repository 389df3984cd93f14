"""What is to be known of a material before it is ordered and cut."""

from __future__ import annotations

import re
from enum import StrEnum

from fitcheck.model.part import Part
from fitcheck.standards import materials


class Kind(StrEnum):
    """How a material is worked: which tool cuts it, and what is done to its edges."""

    METAL = "metal"
    PLASTIC = "rigid plastic"
    LAMINATE = "laminate"
    SOFT = "foam or rubber"
    WOOD = "wood board"
    UNKNOWN = "not known"


_WORDS = (
    (Kind.SOFT, r"foam|sponge|rubber|silicone|epdm|nbr|neoprene|felt"),
    (Kind.WOOD, r"plywood|hardboard|chipboard|mdf|hdf|wood|birch|cardboard"),
    (Kind.LAMINATE, r"fr-?4|g-?10|gpo|laminate|phenolic|pertinax|mica"),
)


def kind_of(material: str, is_metal: bool | None) -> Kind:
    """By the words in its name; a material that conducts is a metal, one that insulates a plastic where no word tells
    more. For the words on a drawing only: no figure rests on it.
    """
    if is_metal:
        return Kind.METAL
    name = material.casefold()
    for kind, words in _WORDS:
        if re.search(rf"(?<![a-z])(?:{words})", name):
            return kind
    return Kind.UNKNOWN if is_metal is None else Kind.PLASTIC


def named(part: Part) -> str:
    """What to order: the material, with its grade where the layout names one; "" where it states none."""
    material, grade = part.material or "", part.grade
    return f"{material} {grade}" if grade and grade.casefold() not in material.casefold() else material


def is_metal(material: str) -> bool | None:
    """Whether the tables hold the material as a metal; None where they do not know it."""
    known = materials.find(material) if material else None
    return None if known is None else known.is_metal


def without_grade(material: str) -> str:
    """What is to be said of a metal that has no grade in its name, else ""."""
    if any(letter.isdigit() for letter in material):
        return ""
    return f"{material[:1].upper()}{material[1:]} without a grade or temper: name them when it is ordered"
