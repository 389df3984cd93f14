"""How wide a line of letters is, in the widest of the typefaces that a screen is likely to take."""

from __future__ import annotations

import warnings
from functools import cache


@cache
def width(text: str, size: float, *, bold: bool = False) -> float:
    """The width of one line in the unit of `size`, the height of the type."""
    from matplotlib.font_manager import FontProperties
    from matplotlib.textpath import text_to_path

    family = FontProperties(family="DejaVu Sans", weight="bold" if bold else "normal", size=100.0)
    with warnings.catch_warnings():
        # A letter that the typeface lacks is drawn as a box, and is as wide as one.
        warnings.filterwarnings("ignore", message="Glyph .* missing from font")
        across, _, _ = text_to_path.get_text_width_height_descent(text, family, ismath=False)
    return float(across) * size / 100.0


def shortened(text: str, size: float, most: float, *, bold: bool = False) -> str:
    """The text, or as much of its beginning as is at most so wide, with an ellipsis."""
    if width(text, size, bold=bold) <= most:
        return text
    ends = range(len(text) - 1, 0, -1)
    end = next((end for end in ends if width(f"{text[:end]}…", size, bold=bold) <= most), 0)
    return f"{text[:end].rstrip()}…"


def broken(text: str, size: float, most: float) -> list[str]:
    """The text in lines that are at most so wide, broken at spaces; a longer word is cut short."""
    lines = [""]
    for word in text.split():
        longer = f"{lines[-1]} {word}".strip()
        if width(longer, size) <= most:
            lines[-1] = longer
        elif lines[-1]:
            lines.append(shortened(word, size, most))
        else:
            lines[-1] = shortened(word, size, most)
    return lines
