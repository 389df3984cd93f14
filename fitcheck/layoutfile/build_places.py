"""Placements in words to placings of the model: one plane of mine at one plane of another part, plus an offset."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass

from fitcheck import units
from fitcheck.errors import Mark
from fitcheck.layoutfile.desk import Desk
from fitcheck.layoutfile.faces import OPPOSITE, Face, Upright, floor_of, inner, outer, rim_of, upright
from fitcheck.layoutfile.fields import AXES
from fitcheck.layoutfile.place_words import TOUCHING, Target, Words, read_target, read_words
from fitcheck.layoutfile.resolve import Placement, Resolved
from fitcheck.model.part import Feature, Placing
from fitcheck.model.shape import Shape, Tray, Turn
from fitcheck.units import LENGTH, BadValue, Written

_FACES_ALONG = {"forward": "front or rear", "left": "left or right", "up": "bottom or top"}


@dataclass(frozen=True, slots=True)
class Body:
    """What placing must know of a part: its shape (None where it could not be read) and its turns."""

    shape: Shape | None
    turns: tuple[Turn, ...]


@dataclass(frozen=True, slots=True)
class Placer:
    """Places the parts of one layout; `bodies` holds every part that could be read."""

    desk: Desk
    axes: Sequence[str]
    bodies: Mapping[str, Body]

    def placings(self, part: Resolved) -> tuple[Placing, ...]:
        """One placing an axis; problems are noted, and axes with a problem left out."""
        if "file_origin" not in part.entries and not part.damaged:
            for axis in range(3):
                if axis not in part.placed:
                    self._missing(part, axis)
        hollow = [placement for placement in part.placed.values() if placement.how == "inside_low_corner"]
        if hollow:
            try:
                self._opening(part.name, "inside_low_corner")
            except BadValue as error:
                self.desk.problem(self.desk.key_at(hollow[0].path[:-1]), error.what, error.mend)
        found = [self._placing(part, axis, part.placed[axis]) for axis in sorted(part.placed)]
        return tuple(placing for placing in found if placing is not None)

    def _missing(self, part: Resolved, axis: int) -> None:
        direction = self.axes[axis]
        pair = _FACES_ALONG.get(direction) or _FACES_ALONG[OPPOSITE[direction]]
        what = f"{part.name} is not placed along {AXES[axis]} ({direction})"
        self.desk.problem(self.desk.key_at(("parts", part.name)), what, f"add {pair} to its place, or give low_corner")

    def _placing(self, part: Resolved, axis: int, placement: Placement) -> Placing | None:
        at = self.desk.value_at(placement.path)
        try:
            if isinstance(placement.value, Written):
                return self._corner(part.name, axis, placement, placement.value)
            if placement.how == "centre":
                return self._centre(part.name, axis, placement, placement.value, at)
            words = read_words(placement.value, self.desk.part_names)
            return self._face(part.name, placement, words, at)
        except BadValue as error:
            self.desk.problem(at, error.what, error.mend)
            return None

    def _corner(self, name: str, axis: int, placement: Placement, value: Written) -> Placing:
        feature = Feature.INSIDE_LOW if placement.how == "inside_low_corner" else Feature.LOW
        offset = self.desk.exact(value, LENGTH, f"{name}.{placement.how}.{AXES[axis]}", placement.path)
        return Placing(axis=axis, feature=feature, offset=offset, words=placement.how, at=offset.at)

    def _centre(self, name: str, axis: int, placement: Placement, text: str, at: Mark) -> Placing:
        if text[:1].isdigit() or text[:1] in "+-.":
            value = units.read(text, LENGTH)
            offset = self.desk.exact(value, LENGTH, f"{name}.place.centre.{AXES[axis]}", placement.path)
            return Placing(axis=axis, feature=Feature.MIDDLE, offset=offset, words=f"centre {text}", at=at)
        target = read_target(text, self.desk.part_names)
        self._not_itself(name, target)
        if target.face is not None:
            raise BadValue(f"a middle has no face {target.face!r}", "write a part's name, or its name and inside")
        middle = Feature.MIDDLE
        if target.inside:
            middle = Feature.INSIDE_MIDDLE
            self._opening(target.part, "inside")
        return Placing(
            axis=axis,
            feature=Feature.MIDDLE,
            reference=target.part,
            reference_feature=middle,
            words=f"centre {text}",
            at=at,
        )

    def _face(self, name: str, placement: Placement, words: Words, at: Mark) -> Placing:
        mine = outer(placement.how, self.axes)
        self._not_itself(name, words.target)
        theirs, called = self._reference(placement.how, words)
        if theirs.axis != mine.axis:
            raise BadValue(
                f"{placement.how} lies across {AXES[mine.axis]}, {called} of {words.target.part} across "
                f"{AXES[theirs.axis]}",
                f"name a face across {AXES[mine.axis]}",
            )
        touching = words.relation in TOUCHING
        if touching and theirs.looks == mine.looks:
            if called in ("floor", "rim"):
                # A tray opens along its own z; where that points down, it stands on its head until it is turned.
                raise BadValue(
                    f"the {called} of {words.target.part} looks the same way as my {placement.how} and cannot touch it",
                    "a tray opens along its own +z: turn it so that it opens up, or name another face",
                )
            raise BadValue(
                f"{placement.how} and {called} of {words.target.part} look the same way and cannot touch",
                f"say flush with for one plane, or name the {OPPOSITE[placement.how]} face",
            )
        offset = None
        if words.distance is not None:
            offset = self.desk.exact(words.distance, LENGTH, f"{name}.place.{placement.how}", placement.path)
        ways = {"clear of": theirs.looks, "past": mine.looks, "short of": -mine.looks}
        return Placing(
            axis=mine.axis,
            feature=mine.feature,
            reference=words.target.part,
            reference_feature=theirs.feature,
            offset=offset,
            sign=ways.get(words.relation, 1),
            touching=touching,
            words=f"{placement.how} {placement.value}",
            at=at,
        )

    def _not_itself(self, name: str, target: Target) -> None:
        if target.part == name:
            raise BadValue(f"{name} is placed by itself", "name another part, or give its corner")

    def _reference(self, how: str, words: Words) -> tuple[Face, str]:
        """The plane that the words name, and what to call it; a face left out is the facing one, or the same one."""
        target = words.target
        if target.face in ("floor", "rim"):
            opens = self._opening(target.part, target.face)
            return (floor_of(opens) if target.face == "floor" else rim_of(opens)), target.face
        if target.inside:
            self._opening(target.part, "inside")
            word = target.face or how
            return inner(word, self.axes), f"inside {word}"
        facing = words.relation in (*TOUCHING, "clear of")
        word = target.face or (OPPOSITE[how] if facing else how)
        return outer(word, self.axes), f"the {word}"

    def _opening(self, name: str, word: str) -> Upright:
        """Where a tray opens to; BadValue for a part without an inside, or one that is not turned squarely."""
        body = self.bodies.get(name)
        if body is None or body.shape is None:
            return (2, 1)  # its own problems are told; what is placed by it need not be told again
        if not isinstance(body.shape, Tray):
            raise BadValue(f"{name} is no tray and has no {word}", "leave the word out, or make the part a tray")
        opens = upright(body.turns)
        if opens is None:
            raise BadValue(
                f"{name} is turned by other than exact quarter turns, so {word} of it lies along no axis",
                "turn it by exact multiples of 90 deg, or place by low_corner",
            )
        return opens


def refuse_circles(desk: Desk, placings: Mapping[str, Sequence[Placing]]) -> None:
    """Note every circle of parts that are placed by one another along one axis."""
    for axis in range(3):
        by = {
            name: next((placing for placing in each if placing.axis == axis), None) for name, each in placings.items()
        }
        seen: set[str] = set()
        for start in by:
            trail: list[str] = []
            name: str | None = start
            while name is not None and name in by and name not in seen:
                seen.add(name)
                trail.append(name)
                placing = by[name]
                name = placing.reference if placing else None
            if name in trail:
                _tell_circle(desk, axis, trail[trail.index(name) :], by)


def _tell_circle(desk: Desk, axis: int, circle: list[str], by: Mapping[str, Placing | None]) -> None:
    first = by[circle[0]]
    if first is None:
        return
    said = " → ".join((*circle, circle[0]))
    desk.problem(
        first.at, f"circular placing along {AXES[axis]}: {said}", "place one of them by another part or a corner"
    )
