"""File names that say what to cut: safe on every system, and never two alike."""

from __future__ import annotations

import re
import unicodedata
from dataclasses import dataclass

from fitcheck.makeable.piece import Piece
from fitcheck.makeable.worklist import Worklist

MOST = 60
PAIR = 26
"""Of each of the two parts whose gap a gauge is for."""

MOST_BYTES = 90
"""A name of letters of three or four bytes each: a file's whole name may take 255, and it holds the material too."""

_RESERVED = {"con", "prn", "aux", "nul", *(f"com{n}" for n in range(1, 10)), *(f"lpt{n}" for n in range(1, 10))}


def safe(text: str) -> str:
    """Letters, digits, dot, hyphen and underscore; whatever else becomes a hyphen.

    >>> safe("pad <1>/left")
    'pad-1-left'
    """
    plain = unicodedata.normalize("NFKC", text)
    plain = re.sub(r"[^\w.-]+", "-", plain).strip("-._")[:MOST]
    plain = plain.encode()[:MOST_BYTES].decode(errors="ignore").strip("-._")
    # Some systems take what stands before the first dot for the name.
    return f"part-{plain}" if plain.split(".")[0].casefold() in _RESERVED else plain or "part"


def stem_of(piece: Piece, names: Names | None = None) -> str:
    """Name, quantity, material and thickness, such as "pad_1__qty4__PA66-GF30__t8". With `names` it is one that none of
    them has yet.
    """
    material = safe(piece.material) if piece.material else "material-not-stated"
    if piece.kind != "part":
        material = "FR4" if piece.kind == "gauge" else "plywood"
    third = f"{'t' if piece.is_flat else 'l'}{piece.thickness.nominal:g}"
    rest = f"__qty{piece.quantity}__{material}__{third}"
    return (names or Names()).give(_name_of(piece), rest)


def _name_of(piece: Piece) -> str:
    """The piece's name; of a gauge the start of both parts' names, so that long ones do not push each other out."""
    pair = piece.of_parts[0].split(" – ") if piece.kind == "gauge" and piece.of_parts else []
    if len(pair) == 2 and len(safe(piece.name)) >= MOST:
        return safe(f"gauge {safe(pair[0])[:PAIR]} {safe(pair[1])[:PAIR]}")
    return safe(piece.name)


class Names:
    """Gives each thing a name of its own; names that differ only in capitals count as alike."""

    def __init__(self) -> None:
        self._taken: set[str] = set()

    def give(self, wanted: str, rest: str = "") -> str:
        """`wanted` and `rest`; where that is taken, "-no2", "-no3" … stand behind `wanted`, so that what the rest says
        stays last.
        """
        name, number = wanted + rest, 1
        while name.casefold() in self._taken:
            number += 1
            name = f"{wanted}-no{number}{rest}"
        self._taken.add(name.casefold())
        return name


@dataclass(frozen=True, slots=True, kw_only=True)
class Stems:
    """File names without folder and ending, in the order of the worklist's own tuples."""

    pieces: tuple[str, ...]
    joined: tuple[str, ...]
    templates: tuple[str, ...]


def stems_of(work: Worklist) -> Stems:
    """The same for the files, the lists and the tables that name them."""
    names = Names()
    return Stems(
        pieces=tuple(stem_of(piece, names) for piece in work.pieces),
        joined=tuple(names.give(safe(part.part)) for part in work.joined),
        templates=tuple(names.give(safe(template.name)) for template in work.templates),
    )
