"""Letters for PDF files: a family that knows most alphabets, joined, and in the order in which they are seen."""

from __future__ import annotations

from pathlib import Path
from typing import Any

FILES = {"plain": "DejaVuSans.ttf", "bold": "DejaVuSans-Bold.ttf", "mono": "DejaVuSansMono.ttf"}
"""A family that knows arrows, discs and most alphabets; it comes with the plotting library."""

ISOLATES = ("\u2066", "\u2067", "\u2068", "\u2069")
"""Marks that keep a name's direction of writing to itself; they order the letters and are not drawn."""


def register(family: str) -> dict[str, str]:
    """Style ("plain", "bold", "mono") to the name of a font that can be written with.

    Anew for each file: a font remembers which letters it has written, and that would reach into the next one.
    """
    import matplotlib as mpl
    from reportlab.pdfbase import pdfmetrics
    from reportlab.pdfbase.ttfonts import TTFont

    folder = Path(mpl.get_data_path()) / "fonts" / "ttf"
    names = {style: f"{family}-{style}" for style in FILES}
    for style, name in names.items():
        pdfmetrics.registerFont(TTFont(name, str(folder / FILES[style])))
    return names


def drawable(text: str, font: str) -> str:
    """Joined letters joined; what the font does not hold is shown as a box, never left out."""
    import arabic_reshaper
    from reportlab.pdfbase import pdfmetrics

    known: Any = pdfmetrics.getFont(font).face.charToGlyph
    text = arabic_reshaper.reshape(text)
    return "".join(letter if ord(letter) in known or letter in ISOLATES else "□" for letter in text)


def as_seen(text: str) -> str:
    """One line in the order in which its letters stand on paper from left to right."""
    from bidi import get_display

    seen: str = get_display(text, base_dir="L")
    return "".join(letter for letter in seen if letter not in ISOLATES)
