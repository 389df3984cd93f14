"""The nouns of the workshop: a flat piece to be cut, a bar, and what cannot be cut flat."""

from __future__ import annotations

from dataclasses import dataclass
from typing import TYPE_CHECKING

from fitcheck.makeable.contour import Contour, area, box_of
from fitcheck.makeable.material import Kind, kind_of
from fitcheck.makeable.views import View
from fitcheck.model.quantity import Quantity
from fitcheck.model.shape import Point2
from fitcheck.sources import Source

if TYPE_CHECKING:
    import numpy as np
    from numpy.typing import NDArray


WAYS = {"right": "to the right", "left": "to the left", "up": "upward", "down": "downward"}
"""Vehicle directions as they are said in a sentence; the others are said as they are."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Opening:
    """A hole or window right through. `says` is what it is for, where the layout tells."""

    contour: Contour
    says: str = ""


@dataclass(frozen=True, slots=True, kw_only=True)
class Label:
    """Text to be engraved or written on the piece, with its low left corner and letter height in mm."""

    text: str
    at: Point2
    height: float


@dataclass(frozen=True, slots=True, kw_only=True)
class CutRemark:
    """What the cutting shop will ask about: what was found, against what, and where that is read."""

    text: str
    source: Source


@dataclass(frozen=True, slots=True, kw_only=True)
class Piece:
    """One kind of piece with parallel faces. Contours in mm from the datum corner, the low corner of the bounding box.

    `thickness`, `width` and `height` carry the bands of the layout. `of_parts` are the parts it is for; where a part is
    stacked, `stack` says of what. `lies` are the vehicle directions in which the drawing's right and up point once it
    is built in, empty where it is turned askew. `is_flat` is False for what is longer than it is wide: sawn or turned,
    not cut from sheet. `kind` is "part", "gauge" or "dummy". `material` is empty where the layout states none, and
    `is_metal` None where no table knows it.
    """

    name: str
    outline: Contour
    thickness: Quantity
    width: Quantity
    height: Quantity
    openings: tuple[Opening, ...] = ()
    material: str = ""
    is_metal: bool | None = None
    quantity: int = 1
    of_parts: tuple[str, ...] = ()
    stack: str = ""
    lies: tuple[str, str] | tuple[()] = ()
    is_flat: bool = True
    kind: str = "part"
    labels: tuple[Label, ...] = ()
    says: tuple[str, ...] = ()
    remarks: tuple[CutRemark, ...] = ()

    @property
    def size(self) -> Point2:
        """Width and height as drawn, in mm."""
        (low_x, low_y), (high_x, high_y) = box_of(self.outline)
        return high_x - low_x, high_y - low_y

    @property
    def measure(self) -> str:
        """What the third size is called."""
        return "thickness" if self.is_flat else "length"

    @property
    def worked_as(self) -> Kind:
        return kind_of(self.material, self.is_metal)

    @property
    def area_mm2(self) -> float:
        return area(self.outline) - sum(area(opening.contour) for opening in self.openings)


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class Joined:
    """A new part of a workshop role that is not one flat piece: why, and how it looks as built in.

    `of_parts` are all parts that are made alike, `quantity` their number. `says` are its own sizes in words, and what
    the shop must know. `vertices` (V, 3) are in mm from its low corner, `faces` (F, 3) wound outward.
    `has_file` is True where the layout takes it from a file of its own.
    """

    part: str
    why: str
    material: str
    is_metal: bool | None
    vertices: NDArray[np.float64]
    faces: NDArray[np.int64]
    views: tuple[View, View, View]
    of_parts: tuple[str, ...] = ()
    says: tuple[str, ...] = ()
    has_file: bool = False

    @property
    def quantity(self) -> int:
        return len(self.of_parts)

    @property
    def worked_as(self) -> Kind:
        return kind_of(self.material, self.is_metal)
