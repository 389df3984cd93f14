"""The section through an electrical path: its own plane where it lies in one, else the one that holds most of it."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import dataclass

import numpy as np

from fitcheck.findings import Finding
from fitcheck.report.near import outward
from fitcheck.report.outline import Floats
from fitcheck.report.path_legs import Leg, Over, Path
from fitcheck.report.scene import Scene
from fitcheck.report.section_view import Plane, off_the_faces, plane_of, plane_square_to
from fitcheck.report.wording import plain

HELD_MM = 0.05
"""What lies this near to a plane lies in it."""


@dataclass(frozen=True, kw_only=True, eq=False)
class PathPlane:
    """`held` tells of each leg whether it lies in the plane; `words` how the path lies to it."""

    plane: Plane
    held: tuple[bool, ...]
    words: str


def path_plane(scene: Scene, finding: Finding, path: Path) -> PathPlane:
    """Where to cut for a path, upright where there is a choice.

    A straight path over a surface is cut square to that surface, one through air as a gap is. Raises ValueError for a
    finding without points.
    """
    corners = path.corners
    if not corners:
        return PathPlane(plane=plane_of(scene, finding), held=(), words="")
    normal = _own_plane(corners)
    if normal is None and _is_straight(corners):
        normal = _across_the_surface(scene, path)
        if normal is None:
            return PathPlane(plane=plane_of(scene, finding), held=(True,) * len(path.legs), words="")
    words = ""
    if normal is None:
        normal = _holding_most(path)
        words = _spatial(path, normal)
    held = tuple(_holds(normal, corners[0], leg) for leg in path.legs)
    middle = (np.min(corners, axis=0) + np.max(corners, axis=0)) / 2
    through = middle + normal * float((corners[0] - middle) @ normal)
    moved = off_the_faces(scene, finding, normal, float(through @ normal))
    if moved:
        words = "; ".join(filter(None, (words, f"cut {plain(abs(moved), 1)} mm beside the path, to show both parts")))
    return PathPlane(plane=plane_square_to(scene, normal, through + normal * moved), held=held, words=words)


def _own_plane(corners: Sequence[Floats]) -> Floats | None:
    """The unit normal of the plane in which all corners lie; None where there is none, or more than one."""
    points = np.stack(corners) - np.mean(corners, axis=0)
    _, _, axes = np.linalg.svd(points, full_matrices=True)
    reach = np.abs(points @ axes.T).max(axis=0)
    return axes[2] if reach[1] > HELD_MM and reach[2] <= HELD_MM else None


def _is_straight(corners: Sequence[Floats]) -> bool:
    points = np.stack(corners) - np.mean(corners, axis=0)
    _, _, axes = np.linalg.svd(points, full_matrices=True)
    return bool(np.abs(points @ axes[1:].T).max() <= HELD_MM)


def _across_the_surface(scene: Scene, path: Path) -> Floats | None:
    """The normal of the plane that holds a straight path and stands square on what it runs over."""
    leg = max(path.legs, key=lambda one: one.length)
    along = _along(leg)
    up = sum((_outward(scene, each) * each.length for each in path.legs), np.zeros(3))
    normal = np.cross(along, up)
    length = float(np.linalg.norm(normal))
    return normal / length if length > 1e-6 else None


def _outward(scene: Scene, leg: Leg) -> Floats:
    if leg.over is not Over.SURFACE:
        return np.zeros(3)
    middle = (np.array(leg.start) + np.array(leg.end)) / 2
    return outward(scene.by_name[leg.part], middle, HELD_MM)


def _along(leg: Leg) -> Floats:
    return np.asarray((np.array(leg.end) - np.array(leg.start)) / leg.length)


def _holding_most(path: Path) -> Floats:
    """Of the planes through both ends and a corner, the one that holds the greatest length of what counts.

    Between equal ones the one the rest lies nearest to.
    """
    corners = path.corners

    def worth(normal: Floats) -> tuple[float, float]:
        held = sum(leg.length for leg in path.legs if leg.counts and _holds(normal, corners[0], leg))
        far = sum(abs(float((corner - corners[0]) @ normal)) for corner in corners)
        return round(held, 6), -round(far, 6)

    return max(_planes(corners), key=worth)


def _planes(corners: Sequence[Floats]) -> Iterator[Floats]:
    """Unit normals; where the ends lie on one another, of the planes of each two legs."""
    start, chord = corners[0], corners[-1] - corners[0]
    spans = [(chord, corner - start) for corner in corners[1:-1]]
    if np.linalg.norm(chord) <= HELD_MM:
        spans = [(one - start, other - start) for one in corners[1:-1] for other in corners[1:-1] if one is not other]
    normals = [np.cross(one, other) for one, other in spans]
    for normal in normals:
        length = float(np.linalg.norm(normal))
        if length > 1e-6:
            yield normal / length


def _holds(normal: Floats, start: Floats, leg: Leg) -> bool:
    return all(abs(float((np.array(end) - start) @ normal)) <= HELD_MM for end in (leg.start, leg.end))


def _spatial(path: Path, normal: Floats) -> str:
    start = path.corners[0]
    held = sum(leg.length for leg in path.legs if leg.counts and _holds(normal, start, leg))
    return (
        f"the path turns out of any one plane: this one goes through both ends and holds {plain(held, 2)} of "
        f"{plain(path.total, 2)} mm of it; the rest is laid flat onto it, its figures are true lengths"
    )
