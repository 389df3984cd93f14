"""What is to be known of a material before it is ordered and cut."""

from __future__ import annotations

from fitcheck.standards import materials


def is_metal(material: str) -> bool | None:
    """Whether the tables hold the material as a metal; None where they do not know it."""
    known = materials.find(material) if material else None
    return None if known is None else known.is_metal


def without_grade(material: str) -> str:
    """What is to be said of a metal that has no grade in its name, else ""."""
    if any(letter.isdigit() for letter in material):
        return ""
    return f"{material[:1].upper()}{material[1:]} without a grade or temper: name them when it is ordered"
