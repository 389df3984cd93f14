"""What there is to draw: the placed parts of one build as triangles."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from functools import cached_property
from types import MappingProxyType
from typing import TYPE_CHECKING

from fitcheck.findings import Status

if TYPE_CHECKING:
    import numpy as np
    from numpy.typing import NDArray


@dataclass(frozen=True, kw_only=True, eq=False)
class DrawnPart:
    """One part as triangles, for the eye only: nothing is measured on them.

    `vertices` (V, 3) in mm, case axes; `faces` (F, 3) indices into them, wound so that normals point outward.
    `change` is "retained", "removed" or "new"; `status` the worst status of the findings about the part, if any.
    `conducts` is what it is to electricity: "live", "bonded", "floating" or "insulation"; "" where nothing is asked.
    """

    name: str
    role: str
    change: str
    vertices: NDArray[np.float64]
    faces: NDArray[np.int64]
    status: Status | None = None
    conducts: str = ""


@dataclass(frozen=True, kw_only=True, eq=False)
class Scene:
    """One build, ready to be drawn. `axes` as in the layout: the vehicle direction of case x, y and z.

    `aged` is the same build at the end of life, where parts grow. `bridged_mm` is the width below which an opening
    counts as bridged for a way over surfaces; None where nothing electrical is asked.
    """

    title: str
    build: str
    axes: tuple[str, str, str]
    parts: tuple[DrawnPart, ...]
    aged: Scene | None = None
    bridged_mm: float | None = None

    @cached_property
    def by_name(self) -> Mapping[str, DrawnPart]:
        return MappingProxyType({part.name: part for part in self.parts})


@dataclass(frozen=True, kw_only=True, eq=False)
class Scenes:
    """What a study draws: both builds as written, and the proposed one with the heights found, where any were."""

    original: Scene
    proposed: Scene
    solved: Scene | None = None
