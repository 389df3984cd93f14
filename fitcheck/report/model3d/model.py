"""What the 3D view draws, as plain data: bodies, where they stand in which build, what was found about them."""

from __future__ import annotations

from dataclasses import dataclass
from typing import TYPE_CHECKING

from fitcheck.findings import Point

if TYPE_CHECKING:
    import numpy as np
    from numpy.typing import NDArray


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class Body:
    """One form, shared by all parts that look alike.

    `corners` (V, 3) are 16-bit steps of `size` (mm along x, y, z) from the low corner of the bounding box; `faces`
    (F, 3) and `edges` (E, 2) are indices into them. `triangles` is how many the form had before it was thinned for
    display. `closed` tells that it has an inside, so that a cut through it can be filled.
    """

    corners: NDArray[np.uint16]
    faces: NDArray[np.uint32]
    edges: NDArray[np.uint32]
    size: Point
    triangles: int
    closed: bool


@dataclass(frozen=True, slots=True, kw_only=True)
class Shown:
    """One part: `sign` and `word` tell its worst status, both empty where nothing was found about it.

    `see_through` parts (lids, cases) are faded at first, so that what they hold shows.
    """

    name: str
    role: str
    change: str
    fill: str
    see_through: bool
    sign: str = ""
    word: str = ""


@dataclass(frozen=True, slots=True, kw_only=True)
class Place:
    """A part (index) as a body (index) whose bounding box has its low corner at `low`, mm, case axes."""

    part: int
    body: int
    low: Point


@dataclass(frozen=True, slots=True, kw_only=True)
class Build:
    """One build: `key` is "original", "proposed" or "solved"; `aged` the same at the end of life, where parts grow."""

    key: str
    title: str
    places: tuple[Place, ...]
    aged: tuple[Place, ...] = ()


@dataclass(frozen=True, slots=True, kw_only=True)
class Stretch:
    """One leg of an electrical path: its two ends, the kind of its line ("surface", "bridged", "air" or "through"), the
    figure that stands beside it, and what it runs over: the part (index), None for air, and words with the length.
    """

    ends: tuple[Point, Point]
    part: int | None
    line: str
    figure: str
    words: str


@dataclass(frozen=True, slots=True, kw_only=True)
class Told:
    """One finding as the view tells it. `number` is its place in the findings that were given.

    `parts` are those that it names, `over` the further ones that its path runs over or across. `builds` are the keys of
    the builds that it speaks of, the one that it was made for first. `value` is what stands at the line drawn between
    its `points`; `way` the corners of a path, and `straight`, where the path bends, how far apart its ends lie; `legs`
    are there where a path has more than one. `eye` is the unit vector, in case axes, toward the viewer of the finding's
    section; None where no section can be laid.
    """

    number: int
    parts: tuple[int, ...]
    over: tuple[int, ...]
    builds: tuple[str, ...]
    aged: bool
    sign: str
    word: str
    text: str
    value: str
    straight: str
    points: tuple[Point, Point] | None
    way: tuple[Point, ...]
    legs: tuple[Stretch, ...]
    eye: Point | None


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class Model:
    """Everything the view shows. `says` are the sentences under it: what was left out or made coarser.

    `steps` are parts (index) in the order of assembly; `directions` the unit vectors, in case axes, of the vehicle
    directions "rearward", "right" and "up"; `faces` the words of the low and the high face along x, y and z.
    """

    bodies: tuple[Body, ...]
    parts: tuple[Shown, ...]
    builds: tuple[Build, ...]
    told: tuple[Told, ...]
    steps: tuple[int, ...]
    directions: tuple[tuple[str, Point], ...]
    faces: tuple[tuple[str, str], ...]
    says: tuple[str, ...]

    @property
    def triangles(self) -> int:
        """How many triangles the fullest build draws."""
        return max(
            (
                sum(len(self.bodies[place.body].faces) for place in places)
                for build in self.builds
                for places in (build.places, build.aged)
            ),
            default=0,
        )
