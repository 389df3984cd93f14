"""A part, what it is for, in which build it is, and the words that place it."""

from __future__ import annotations

from dataclasses import dataclass
from enum import StrEnum

from fitcheck.errors import NOWHERE, Mark
from fitcheck.model.quantity import Quantity
from fitcheck.model.shape import Shape, Triple, Turn

ROLES = (
    "enclosure", "lid", "module", "bracket", "spacer", "riser", "frame", "duct", "fan", "disconnect", "junction box",
    "controller", "sensor", "connector", "harness", "cable", "busbar", "terminal", "fastener", "column", "cover",
    "insulator", "seal", "keep-out", "service space", "other",
)  # fmt: skip

FREE_SPACE_ROLES = ("keep-out", "service space")
"""Roles that stand for space, not for matter: they weigh nothing."""


class Change(StrEnum):
    """What the conversion does with a part."""

    RETAINED = "retained"
    REMOVED = "removed"
    NEW = "new"


class Build(StrEnum):
    """Before or after the conversion."""

    ORIGINAL = "original"
    PROPOSED = "proposed"

    def holds(self, change: Change) -> bool:
        """Whether parts of that change are in this build."""
        return change is Change.RETAINED or (change is Change.REMOVED) == (self is Build.ORIGINAL)


class State(StrEnum):
    """Age of the modules."""

    BEGINNING = "beginning of life"
    END = "end of life"


class Feature(StrEnum):
    """A plane of a part across one axis, low and high being along the case axis."""

    LOW = "low"
    HIGH = "high"
    MIDDLE = "middle"
    INSIDE_LOW = "inside low"
    INSIDE_HIGH = "inside high"
    INSIDE_MIDDLE = "inside middle"


@dataclass(frozen=True, slots=True, kw_only=True)
class Placing:
    """Where one plane of a part stands on one axis: at `reference`'s plane plus `sign` times `offset`.

    `feature` is the part's own plane (LOW, HIGH, MIDDLE, or INSIDE_LOW for `inside_low_corner`). `reference` None is
    the case datum (coordinate 0). `offset` None is no offset. `touching` marks `on` and `against`: the two faces are in
    contact. `words` is what the layout says, for messages ("12 clear of case inside front").
    """

    axis: int
    feature: Feature
    reference: str | None = None
    reference_feature: Feature = Feature.LOW
    offset: Quantity | None = None
    sign: int = 1
    touching: bool = False
    words: str = ""
    at: Mark = NOWHERE


@dataclass(frozen=True, slots=True, kw_only=True)
class Play:
    """How far a part can move along one case axis as it is held: a cable in its clips, a module in its rails.

    `free` is the movement itself, nominal 0, its band as wide as the play may be at most. `usual` and `sure` are how
    far it can go to the low and to the high side, in mm: as stated, and as every build has it, tolerance against it.
    """

    axis: int
    free: Quantity
    usual: tuple[float, float]
    sure: tuple[float, float]

    @property
    def most(self) -> tuple[float, float]:
        return self.free.below, self.free.above


@dataclass(frozen=True, slots=True, kw_only=True)
class Part:
    """One part of the layout.

    `placings` holds one Placing an axis, in axis order; for a mesh placed by `file_origin` it is empty and
    `file_origin` holds the three coordinates of the file's own origin. `grows` maps an axis of the shape to a share
    (0.02 for 2 %). `mass` in kg, `centre_of_mass` in mm in the case axes from the low corner of the *unturned* shape's
    bounding box, `inertia` in kg m2 about the centre of mass in the shape's own axes (tensor, off-diagonal -sum m x y);
    `inertia_half` is how far each of its entries may be off, None where no entry states a tolerance. `play` holds the
    axes along which the part can move; what is placed by the part does not move with it. `grade` is what the layout
    calls the material where the table has another name for it. `cti` is the tracking index in V of its surface.
    """

    name: str
    role: str
    change: Change
    shape: Shape
    placings: tuple[Placing, ...]
    file_origin: Triple | None = None
    turns: tuple[Turn, ...] = ()
    mass: Quantity | None = None
    material: str | None = None
    grade: str = ""
    centre_of_mass: Triple | None = None
    inertia: tuple[tuple[float, float, float], ...] | None = None
    inertia_half: tuple[tuple[float, float, float], ...] | None = None
    hull_allowed: bool = False
    grows: tuple[tuple[int, Quantity], ...] = ()
    potential: str | None = None
    material_group: str | None = None
    cti: float | None = None
    known_by: str = ""
    play: tuple[Play, ...] = ()
    at: Mark = NOWHERE
