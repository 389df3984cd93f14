"""Shapes as written to shapes of the model, each size with its own name and band."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, replace

from fitcheck.layoutfile.build_drawings import drawing_of
from fitcheck.layoutfile.build_meshes import mesh_of
from fitcheck.layoutfile.desk import Desk
from fitcheck.layoutfile.fields import AXES, nearest
from fitcheck.layoutfile.outlines import outline_problem
from fitcheck.layoutfile.sections_shapes import (
    CylinderSection,
    DrawingSection,
    MemberSection,
    PrismSection,
    RimSection,
    ShapeSection,
    TraySection,
    TubeSection,
    TurnSection,
)
from fitcheck.layoutfile.tree import Path
from fitcheck.model.quantity import Quantity
from fitcheck.model.shape import Box, Cylinder, Group, Member, Point2, Prism, Rim, Ring, Shape, Tray, Triple, Tube, Turn
from fitcheck.units import ANGLE, LENGTH, Written

DEEPEST_NAMED = 8
"""Named shapes within named shapes; a sub-assembly of sub-assemblies takes three."""
MOST_MEMBERS = 20_000
"""Group members in the whole layout, so that a few named groups cannot unfold into millions."""

KINDS = ("box", "cylinder", "tube", "prism", "tray", "mesh", "group")


@dataclass(frozen=True, slots=True)
class Shaper:
    """Builds shapes for one part: `known_by` holds for every size that does not say otherwise."""

    desk: Desk
    shapes: dict[str, ShapeSection]
    known_by: str

    def shape(self, written: ShapeSection | str, name: str, path: Path, within: tuple[str, ...] = ()) -> Shape | None:
        """The shape, its values called `name`.something; None, with a problem noted, where there is none.

        `within` are the named shapes that this one stands in, so that a shape that holds itself is found.
        """
        if isinstance(written, str):
            return self._named(written, name, path, within)
        given = [kind for kind in KINDS if getattr(written, kind) is not None]
        if len(given) != 1:
            if given or not self.desk.is_damaged(path):
                what = f"a shape that is {' and '.join(given)}" if given else "a shape without a kind"
                self.desk.problem(self.desk.key_at(path), what, f"write exactly one of {', '.join(KINDS)}")
            return None
        kind = given[0]
        below = (*path, kind)
        if kind == "group":
            return self._group(written.group or [], name, below, within)
        if written.mesh is not None:
            return mesh_of(self.desk, written.mesh, name, below, self.known_by)
        return self._plain(written, name, below)

    def _named(self, word: str, name: str, path: Path, within: tuple[str, ...]) -> Shape | None:
        at = self.desk.value_at(path)
        if word in within:
            circle = " → ".join((*within[within.index(word) :], word))
            self.desk.problem(at, f"a shape that holds itself: {circle}", "take one of the groups apart")
            return None
        if len(within) >= DEEPEST_NAMED:
            self.desk.problem(at, f"named shapes nested deeper than {DEEPEST_NAMED}", "write the group flatter")
            return None
        if word not in self.shapes:
            if not self.desk.is_damaged(("shapes", word)):
                self.desk.problem(at, f"there is no shape {word!r} under `shapes`", nearest(word, self.shapes))
            return None
        return self.shape(self.shapes[word], name, ("shapes", word), (*within, word))

    def _plain(self, written: ShapeSection, name: str, path: Path) -> Shape | None:
        if written.box is not None:
            return Box(size=self._sizes(written.box, name, path))
        if written.cylinder is not None:
            return self._cylinder(written.cylinder, name, path)
        if written.tube is not None:
            return self._tube(written.tube, name, path)
        if written.prism is not None:
            return self._prism(written.prism, name, path)
        return self._tray(written.tray, name, path) if written.tray is not None else None

    def _size(self, written: Written, name: str, path: Path) -> Quantity:
        size = self.desk.size(written, name, path, self.known_by)
        if size.basis == "stated" and size.low <= 0:
            what = f"the tolerance ± {size.below:g} mm is as large as the size {size.nominal:g} mm itself"
            self.desk.problem(size.at, what, "write a smaller tolerance")
        return size

    def _sizes(self, written: Sequence[Written], name: str, path: Path) -> Triple:
        x, y, z = (
            self._size(each, f"{name}.{axis}", (*path, number))
            for number, (axis, each) in enumerate(zip(AXES, written, strict=True))
        )
        return (x, y, z)

    def _cylinder(self, written: CylinderSection, name: str, path: Path) -> Cylinder:
        return Cylinder(
            diameter=self._size(written.diameter, f"{name}.diameter", (*path, "diameter")),
            length=self._size(written.length, f"{name}.length", (*path, "length")),
            along=AXES.index(written.along),
        )

    def _tube(self, written: TubeSection, name: str, path: Path) -> Tube:
        tube = Tube(
            outside=self._size(written.outside, f"{name}.outside", (*path, "outside")),
            inside=self._size(written.inside, f"{name}.inside", (*path, "inside")),
            length=self._size(written.length, f"{name}.length", (*path, "length")),
            along=AXES.index(written.along),
        )
        if tube.inside.nominal >= tube.outside.nominal:
            at = self.desk.value_at((*path, "inside"))
            self.desk.problem(at, "the hole of the tube is as wide as the tube itself", "write inside < outside")
        return tube

    def _tray(self, written: TraySection, name: str, path: Path) -> Tray:
        tray = Tray(
            inside=self._sizes(written.inside, f"{name}.inside", (*path, "inside")),
            wall=self._size(written.wall, f"{name}.wall", (*path, "wall")),
            floor=self._size(written.floor, f"{name}.floor", (*path, "floor")),
            lip=self._rim(written.lip, f"{name}.lip", (*path, "lip")),
            flange=self._rim(written.flange, f"{name}.flange", (*path, "flange")),
        )
        for rim, key in ((tray.lip, "lip"), (tray.flange, "flange")):
            if rim is not None and rim.thickness.nominal >= tray.inside[2].nominal:
                at = self.desk.value_at((*path, key, "thickness"))
                self.desk.problem(at, f"the {key} is as thick as the tray is deep", "write a thinner one")
        if tray.lip is not None and 2 * tray.lip.width.nominal >= min(side.nominal for side in tray.inside[:2]):
            at = self.desk.value_at((*path, "lip", "width"))
            self.desk.problem(at, "the lip closes the tray", "write a narrower one")
        return tray

    def _rim(self, written: RimSection | None, name: str, path: Path) -> Rim | None:
        if written is None:
            return None
        return Rim(
            width=self._size(written.width, f"{name}.width", (*path, "width")),
            thickness=self._size(written.thickness, f"{name}.thickness", (*path, "thickness")),
        )

    def _prism(self, written: PrismSection, name: str, path: Path) -> Prism | None:
        along = AXES.index(written.along)
        across = [axis for axis in AXES if axis != written.along]
        stated: list[bool] = []

        def ring(points: Sequence[Sequence[Written]], where: Path) -> list[tuple[Quantity, Quantity]]:
            corners = []
            for number, point in enumerate(points):
                first, second = (
                    self.desk.exact(each, LENGTH, name, (*where, number, k)) for k, each in enumerate(point)
                )
                stated.extend(each.tolerance is not None for each in point)
                corners.append((first, second))
            return corners

        drawing = None
        if isinstance(written.outline, DrawingSection):
            drawing = drawing_of(self.desk, written.outline, (*path, "outline"), has_holes=bool(written.holes))
            if drawing is None:
                return None
            outer, *inner = ([_meant(self.desk, point, name, path) for point in drawn] for drawn in drawing.rings)
            stated.append(False)
        else:
            outer = ring(written.outline, (*path, "outline"))
            inner = [ring(hole, (*path, "holes", number)) for number, hole in enumerate(written.holes)]
        outline, holes = _nominal(outer), tuple(_nominal(hole) for hole in inner)
        wrong = outline_problem(outline, holes)
        if wrong is not None:
            self.desk.problem(self.desk.value_at((*path, "outline")), *wrong)
            return None
        overall = replace(self, known_by="") if all(stated) else self  # every corner has its own band already
        first, second = (
            overall._size(_extent(outline, k), f"{name}.outline.{axis}", (*path, "outline"))
            for k, axis in enumerate(across)
        )
        return Prism(
            outline=outline,
            holes=holes,
            extent=(first, second),
            height=self._size(written.height, f"{name}.height", (*path, "height")),
            along=along,
            surface_tolerance=self._loosest([outer, *inner], outline, name, path) + (drawing.off if drawing else 0.0),
            edge_tolerance=_edge_tolerance(outer, outline) + (drawing.edge_off if drawing else 0.0),
            drawn=drawing.drawn if drawing else None,
        )

    def _loosest(
        self, rings: Sequence[Sequence[tuple[Quantity, Quantity]]], outline: Ring, name: str, path: Path
    ) -> float:
        """The widest band of any coordinate: its own, or what its distance from the outline's edge would have.

        The outermost coordinates are where the overall sizes put them.
        """
        widest = 0.0
        for k in (0, 1):
            low, high = min(point[k] for point in outline), max(point[k] for point in outline)
            for value in (point[k] for ring in rings for point in ring):
                if not value.is_exact:
                    widest = max(widest, _band(value))
                elif low < value.nominal < high:
                    distance = self.desk.size(_length(value.nominal - low), name, (*path, "outline"), self.known_by)
                    widest = max(widest, _band(distance))
        return widest

    def _group(self, written: Sequence[MemberSection], name: str, path: Path, within: tuple[str, ...]) -> Group | None:
        self.desk.members += len(written)
        if self.desk.members > MOST_MEMBERS:
            self.desk.problem(self.desk.key_at(path), f"more than {MOST_MEMBERS:,} group members", "draw with fewer")
            return None
        members = [
            self._member(each, f"{name}.{number}", (*path, number - 1), within)
            for number, each in enumerate(written, 1)
        ]
        whole = tuple(member for member in members if member is not None)
        return Group(members=whole) if len(whole) == len(members) else None

    def _member(self, written: MemberSection, name: str, path: Path, within: tuple[str, ...]) -> Member | None:
        shape = self.shape(written.shape, name, (*path, "shape"), within)
        corner = corner_of(self.desk, written.low_corner, f"{name}.low_corner", (*path, "low_corner"))
        turns = turns_of(self.desk, written.turn, f"{name}.turn", (*path, "turn"))
        for turn in turns:
            if not turn.angle.is_exact:
                what = "a turn inside a group cannot have a tolerance"
                self.desk.problem(
                    turn.angle.at, what, "state it exactly here, or turn the whole part with the tolerance"
                )
        return None if shape is None else Member(shape=shape, low_corner=corner, turns=turns)


def _meant(desk: Desk, point: Point2, name: str, path: Path) -> tuple[Quantity, Quantity]:
    """A corner of a drawing: its numbers are meant, and the sizes between them carry the tolerance."""
    first, second = (desk.exact(_length(value), LENGTH, name, (*path, "outline")) for value in point)
    return first, second


def _nominal(ring: Sequence[tuple[Quantity, Quantity]]) -> Ring:
    return tuple((first.nominal, second.nominal) for first, second in ring)


def _band(value: Quantity) -> float:
    return max(value.below, value.above)


def _length(mm: float) -> Written:
    return Written(number=mm, unit="mm")


def _edge_tolerance(ring: Sequence[tuple[Quantity, Quantity]], outline: Ring) -> float:
    """The widest band stated for a coordinate that is outermost."""
    ends = [{min(point[k] for point in outline), max(point[k] for point in outline)} for k in (0, 1)]
    return max(
        (_band(value) for point in ring for k, value in enumerate(point) if value.nominal in ends[k]), default=0.0
    )


def _extent(outline: Ring, k: int) -> Written:
    ends = [point[k] for point in outline]
    return _length(max(ends) - min(ends))


def corner_of(desk: Desk, written: Sequence[Written], name: str, path: Path) -> Triple:
    """Three coordinates, exact unless toleranced."""
    x, y, z = (
        desk.exact(each, LENGTH, f"{name}.{axis}", (*path, number))
        for number, (axis, each) in enumerate(zip(AXES, written, strict=True))
    )
    return (x, y, z)


def turns_of(desk: Desk, written: TurnSection | list[TurnSection] | None, name: str, path: Path) -> tuple[Turn, ...]:
    """The turns in the order in which they are applied."""
    if written is None:
        return ()
    if isinstance(written, TurnSection):
        turn = _turn(desk, written, name, path)
        return (turn,) if turn else ()
    turns = [_turn(desk, each, f"{name}.{number}", (*path, number - 1)) for number, each in enumerate(written, 1)]
    return tuple(turn for turn in turns if turn is not None)


def _turn(desk: Desk, written: TurnSection, name: str, path: Path) -> Turn | None:
    given = [(axis, angle) for axis, angle in zip(AXES, (written.x, written.y, written.z), strict=True) if angle]
    if len(given) != 1:
        if not desk.is_damaged(path):
            what = "a turn about more than one axis" if given else "a turn about no axis"
            desk.problem(
                desk.key_at(path), what, "write one axis, or a list of turns in their order: [{x: 90}, {z: 45}]"
            )
        return None
    axis, angle = given[0]
    return Turn(axis=AXES.index(axis), angle=desk.exact(angle, ANGLE, f"{name}.{axis}", (*path, axis)))
