"""What is to be known of a material before it is ordered and cut."""

from __future__ import annotations

from fitcheck.model.part import Part
from fitcheck.standards import materials


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
