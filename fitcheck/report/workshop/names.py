"""File names that say what to cut: safe on every system, and never two alike."""

from __future__ import annotations

import re
import unicodedata

from fitcheck.makeable.piece import Piece

MOST = 60
_RESERVED = {"con", "prn", "aux", "nul", *(f"com{n}" for n in range(1, 10)), *(f"lpt{n}" for n in range(1, 10))}


def safe(text: str) -> str:
    """Letters, digits, dot, hyphen and underscore; whatever else becomes a hyphen.

    >>> safe("pad <1>/left")
    'pad-1-left'
    """
    plain = unicodedata.normalize("NFKC", text)
    plain = re.sub(r"[^\w.-]+", "-", plain).strip("-._")[:MOST].strip("-._")
    return f"part-{plain}" if plain.casefold() in _RESERVED else plain or "part"


def stem_of(piece: Piece) -> str:
    """Name, quantity, material and thickness, such as "pad_1__qty4__PA66-GF30__t8"."""
    material = safe(piece.material) if piece.material else "material-not-stated"
    if piece.kind != "part":
        material = "non-conductive" if piece.kind == "gauge" else "wood-sheet"
    third = f"{'t' if piece.is_flat else 'l'}{piece.thickness.nominal:g}"
    return f"{safe(piece.name)}__qty{piece.quantity}__{material}__{third}"


class Names:
    """Gives each thing a name of its own; names that differ only in capitals count as alike."""

    def __init__(self) -> None:
        self._taken: set[str] = set()

    def give(self, wanted: str) -> str:
        """`wanted`, or with "_2", "_3" … behind it where that is taken."""
        name, number = wanted, 1
        while name.casefold() in self._taken:
            number += 1
            name = f"{wanted}_{number}"
        self._taken.add(name.casefold())
        return name
