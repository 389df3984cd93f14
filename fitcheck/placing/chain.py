"""The placing chain: where each plane of each part stands, as an affine form of the toleranced values.

A Chain is one state of the layout (beginning or end of life) at one set of turn angles. Angles that have a tolerance
are not terms of the forms: whoever needs them varied asks for a chain at other angles (see `turns`).

At the end of life a part that grows keeps its middle where it was, except that a face in contact stays and the other
side takes all; a part that stands on or against a grown face follows that face, and nothing else moves.
"""

from __future__ import annotations

import math
from collections import defaultdict
from collections.abc import Callable, Mapping
from functools import cached_property
from types import MappingProxyType
from typing import TypeVar

from fitcheck.model.layout import Layout
from fitcheck.model.part import Feature, Part, Placing, State
from fitcheck.model.shape import Tray
from fitcheck.placing.forms import Extra, Form, Widths, constant, dot, form_of
from fitcheck.placing.growth import factors_of, grown
from fitcheck.placing.local import Local, MeshSource, bounds_along, pieces_of
from fitcheck.placing.rotation import Rotation, about, in_order
from fitcheck.placing.sweep import swept_bounds

Bounds = tuple[Form, Form]
Value = TypeVar("Value")
NO_ANGLES: Mapping[str, float] = MappingProxyType({})


class Chain:
    """Where everything stands in one state. Forms are memoised; the layout never changes under a chain."""

    def __init__(
        self,
        layout: Layout,
        state: State,
        meshes: MeshSource,
        extra: Extra,
        angles: Mapping[str, float] = NO_ANGLES,
        sweep: Widths | None = None,
    ) -> None:
        self.layout = layout
        self.state = state
        self.angles = angles
        self._sweep = sweep
        self.extra = extra
        self._meshes = meshes
        self._memo: dict[object, object] = {}
        self._young = self if state is State.BEGINNING else Chain(layout, State.BEGINNING, meshes, extra, angles, sweep)

    def at(self, angles: Mapping[str, float]) -> Chain:
        """The same layout and state with some turn angles (name -> degrees) other than nominal."""
        return Chain(self.layout, self.state, self._meshes, Extra(self.extra.widths), angles)

    def swept(self, widths: Widths) -> Chain:
        """The same at nominal angles, with planes that hold for every turn within `widths`.

        What an uncertain turn does to the outermost planes of a part becomes a helper value of the part, so that two
        planes that go back to the same one keep their distance whatever the turn.
        """
        turns = tuple(
            (turn.angle.name, widths[turn.angle.name])
            for part in self.layout.parts
            for turn in part.turns
            if any(widths.get(turn.angle.name, (0.0, 0.0)))
        )
        return self._once(
            ("swept", turns),
            lambda: Chain(self.layout, self.state, self._meshes, Extra(self.extra.widths), self.angles, dict(turns)),
        )

    def rotation(self, part: Part) -> Rotation:
        return self._once(
            ("rotation", part.name),
            lambda: in_order(
                about(turn.axis, self.angles.get(turn.angle.name, turn.angle.nominal)) for turn in part.turns
            ),
        )

    def pieces(self, part: Part) -> tuple[Local, ...]:
        """The part's pieces in its shape axes, grown if this is the end of life."""
        if self._young is not self and not part.grows:
            return self._young.pieces(part)
        return self._once(("pieces", part.name), lambda: self._pieces(part))

    def bounds(self, part: Part, axis: int) -> Bounds:
        """Low and high of the turned part along a case axis, from its shape's origin."""
        if self._young is not self and not part.grows:
            return self._young.bounds(part, axis)
        return self._once(("bounds", part.name, axis), lambda: self._bounds(part, axis))

    def _bounds(self, part: Part, axis: int) -> Bounds:
        name = f"{part.name}/{self.state}/{axis}"
        low, high = bounds_along(self.pieces(part), self.rotation(part)[axis], self.extra, name)
        turning = [turn.angle for turn in part.turns if turn.angle.name in (self._sweep or {})]
        if not turning:
            return low, high
        falls, rises = swept_bounds(self, part, axis, turning, self._sweep or {})
        return (
            low + self.extra.between(*falls, f"{name}/swept low"),
            high + self.extra.between(*rises, f"{name}/swept high"),
        )

    def origin(self, part: Part, axis: int) -> Form:
        """Where the origin of the part's shape stands on a case axis, anywhere in its play."""
        return self._once(("origin", part.name, axis), lambda: self._in_play(part, axis))

    def at_rest(self, part: Part, axis: int) -> Form:
        """The same where the part is drawn: what is placed by a part does not move with its play."""
        return self._once(("at rest", part.name, axis), lambda: self._at_rest(part, axis))

    def plane(self, part: Part, axis: int, feature: Feature) -> Form:
        """Where a plane of the part stands on a case axis."""
        return self.origin(part, axis) + self._offset(part, axis, feature)

    def low(self, part: Part, axis: int) -> Form:
        return self.plane(part, axis, Feature.LOW)

    def high(self, part: Part, axis: int) -> Form:
        return self.plane(part, axis, Feature.HIGH)

    def _once(self, key: object, make: Callable[[], Value]) -> Value:
        if key not in self._memo:
            self._memo[key] = make()
        return self._memo[key]  # type: ignore[return-value]

    def _pieces(self, part: Part) -> tuple[Local, ...]:
        name = f"{part.name}/{self.state}"
        pieces = pieces_of(part.shape, self._meshes, self.extra, name)
        if self.state is State.BEGINNING:
            return pieces
        growth = factors_of({axis: form_of(share) for axis, share in part.grows})
        return grown(pieces, growth, self.extra, name)

    def _in_play(self, part: Part, axis: int) -> Form:
        return sum((form_of(play.free) for play in part.play if play.axis == axis), start=self.at_rest(part, axis))

    def _at_rest(self, part: Part, axis: int) -> Form:
        if self.state is State.END and not self._follows(part, axis):
            return self._grown_in_place(part, axis)
        if part.file_origin is not None:
            return form_of(part.file_origin[axis])
        placing = part.placings[axis]
        return self._target(placing) - self._offset(part, axis, placing.feature)

    def _follows(self, part: Part, axis: int) -> bool:
        return bool(part.placings) and part.placings[axis].touching

    def _target(self, placing: Placing) -> Form:
        """The coordinate that the placing words ask for."""
        base = constant(0.0)
        if placing.reference is not None:
            reference = self.layout.by_name[placing.reference]
            base = self.at_rest(reference, placing.axis)
            base = base + self._offset(reference, placing.axis, placing.reference_feature)
        return base if placing.offset is None else base + form_of(placing.offset) * placing.sign

    def _grown_in_place(self, part: Part, axis: int) -> Form:
        """The origin at the end of life of a part that stands on nothing along this axis."""
        before = self._young.at_rest(part, axis)
        if not part.grows:
            return before
        (low_then, high_then), (low_now, high_now) = self._young.bounds(part, axis), self.bounds(part, axis)
        held = self._faces_leaned_on[(part.name, axis)]
        if held == {Feature.LOW}:
            return before + low_then - low_now
        if held == {Feature.HIGH}:
            return before + high_then - high_now
        return before + (low_then + high_then - low_now - high_now) * 0.5

    @cached_property
    def _faces_leaned_on(self) -> Mapping[tuple[str, int], set[Feature]]:
        """The faces that other parts stand on or against."""
        faces: defaultdict[tuple[str, int], set[Feature]] = defaultdict(set)
        for part in self.layout.parts:
            for placing in part.placings:
                if placing.touching and placing.reference is not None:
                    faces[(placing.reference, placing.axis)].add(placing.reference_feature)
        return faces

    def _offset(self, part: Part, axis: int, feature: Feature) -> Form:
        """A plane of the turned part from its shape's origin."""
        if feature in (Feature.LOW, Feature.HIGH, Feature.MIDDLE):
            low, high = self.bounds(part, axis)
        else:
            low, high = self._hollow(part, axis)
        if feature in (Feature.LOW, Feature.INSIDE_LOW):
            return low
        if feature in (Feature.HIGH, Feature.INSIDE_HIGH):
            return high
        return (low + high) * 0.5

    def _hollow(self, part: Part, axis: int) -> Bounds:
        """The hollow of a tray; turned by quarter turns only (the reader sees to it)."""
        if not isinstance(part.shape, Tray):
            raise TypeError(f"{part.name} has no inside")
        row = self.rotation(part)[axis]
        ends = dot(row, [form_of(side) for side in part.shape.inside])
        return (ends, constant(0.0)) if ends.nominal < 0 else (constant(0.0), ends)

    def reach(self, part: Part) -> float:
        """No point of the part is farther than this from any other point of it, sizes at their largest; mm."""
        return self._once(("reach", part.name), lambda: self._diagonal(part))

    def swing_radius(self, part: Part) -> float:
        """How far any point of the part can go along one axis per radian of turning it, mm.

        A part placed by its faces: a point, and the plane that it is placed by, each go at most as fast as the part is
        long. A mesh placed by its file's origin turns about that, which may be far outside it.
        """
        if part.file_origin is None:
            return 2.0 * self.reach(part)
        return math.hypot(*(max(abs(low), abs(high)) for low, high in self._own_spans(part)))

    def _own_spans(self, part: Part) -> list[tuple[float, float]]:
        """The unturned part along its own axes from its shape's origin, each end at its outermost."""
        spans = []
        for axis in range(3):
            row = (float(axis == 0), float(axis == 1), float(axis == 2))
            low, high = bounds_along(self.pieces(part), row, self.extra, f"{part.name}/{self.state}/own {axis}")
            spans.append((low.low(self.extra.widths), high.high(self.extra.widths)))
        return spans

    def _diagonal(self, part: Part) -> float:
        return math.hypot(*(high - low for low, high in self._own_spans(part)))
