"""What the workshop makes as plain rows: for the tables, the JSON file and the study page."""

from __future__ import annotations

import json
from collections.abc import Iterator
from dataclasses import dataclass
from typing import Any

from fitcheck.makeable.piece import CutRemark, Joined, Piece
from fitcheck.makeable.worklist import NO_TOLERANCE, Worklist
from fitcheck.model.quantity import Quantity
from fitcheck.report.workshop.names import stems_of
from fitcheck.report.workshop.origin import Origin
from fitcheck.report.workshop.shop_words import CHECKED_BY, NOT_STATED

KINDS = {"part": "part", "gauge": "gauge", "dummy": "dummy module"}


@dataclass(frozen=True, slots=True, kw_only=True)
class Made:
    """One kind of thing to make. `kind` is "part", "gauge" or "dummy module", `how` "cut flat", "sawn or turned" or
    "by its drawing".

    `third` is the thickness of what is flat and the length of a bar, `size` the longer and the shorter side of its face
    in mm; both None for what is made by its drawing. `stem` is the name that its files share.
    """

    name: str
    kind: str
    how: str
    quantity: int
    material: str
    stem: str
    for_parts: tuple[str, ...]
    third: Quantity | None = None
    size: tuple[float, float] | None = None
    stack: str = ""
    says: tuple[str, ...] = ()
    settle: tuple[CutRemark, ...] = ()

    @property
    def to_settle(self) -> tuple[str, ...]:
        """All that is open before it can be made."""
        return (*self._missing, *(remark.text for remark in self.settle))

    @property
    def sourced(self) -> tuple[str, ...]:
        """The same, each with where its rule was read."""
        return (*self._missing, *(f"{remark.text}. Source: {remark.source}" for remark in self.settle))

    @property
    def _missing(self) -> tuple[str, ...]:
        return () if self.material else (f"Material {NOT_STATED}",)


def made_of(work: Worklist) -> tuple[Made, ...]:
    """In the order of the worklist: pieces, then what is not flat."""
    stems = stems_of(work)
    return (
        *(_piece(piece, stem) for piece, stem in zip(work.pieces, stems.pieces, strict=True)),
        *(
            _joined(part, stem, () if work.general else (NO_TOLERANCE,))
            for part, stem in zip(work.joined, stems.joined, strict=True)
        ),
    )


def _piece(piece: Piece, stem: str) -> Made:
    return Made(
        name=piece.name,
        kind=KINDS[piece.kind],
        how="cut flat" if piece.is_flat else "sawn or turned",
        quantity=piece.quantity,
        material=piece.material,
        stem=stem,
        for_parts=piece.of_parts,
        third=piece.thickness,
        size=(max(piece.size), min(piece.size)),
        stack=piece.stack,
        says=piece.says,
        settle=piece.remarks,
    )


def _joined(part: Joined, stem: str, settle: tuple[CutRemark, ...]) -> Made:
    return Made(
        name=part.part,
        kind="part",
        how="by its drawing",
        quantity=part.quantity,
        material=part.material,
        stem=stem,
        for_parts=part.of_parts,
        says=(part.why, *part.says),
        settle=settle,
    )


def as_json(work: Worklist, origin: Origin) -> str:
    """One object with what is made and what is not; lengths in mm. In ASCII, with a final newline."""
    found = {
        "layout": {"file": origin.layout_file, "title": origin.title, "sha256": origin.sha256},
        "made_on": origin.made_on,
        "general_tolerance": origin.general or None,
        "settle_for_every_part": CHECKED_BY,
        "made": [dict(_entry(made)) for made in made_of(work)],
        "not_made": list(work.skipped),
    }
    return json.dumps(found, indent=2, allow_nan=False) + "\n"


def _entry(made: Made) -> Iterator[tuple[str, Any]]:
    yield "name", made.name
    yield "kind", made.kind
    yield "how", made.how
    yield "quantity", made.quantity
    yield "material", made.material or None
    yield "files", made.stem
    yield "for_parts", list(made.for_parts)
    if made.third is not None and made.size is not None:
        third = made.third
        band = {"nominal": third.nominal, "below": third.below, "above": third.above}
        yield ("length_mm" if made.how == "sawn or turned" else "thickness_mm"), band
        yield "face_mm", list(made.size)
    if made.stack:
        yield "stack", made.stack
    yield "says", list(made.says)
    yield "to_settle", [{"text": remark.text, "source": str(remark.source)} for remark in made.settle]
