"""Parts with what they take over by `like`: each entry with the place where it is written.

`place` is taken over axis by axis, everything else whole.
"""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass, field

from fitcheck.layoutfile.desk import Desk
from fitcheck.layoutfile.faces import outer
from fitcheck.layoutfile.fields import AXES, nearest
from fitcheck.layoutfile.sections_parts import FACE_WORDS, PartSection
from fitcheck.layoutfile.tree import Path
from fitcheck.units import Written

TAKEN_WHOLE = (
    "role", "change", "shape", "turn", "mass", "material", "known_by", "grows", "play", "potential", "material_group",
    "cti", "centre_of_mass", "inertia", "hull",
)  # fmt: skip
CORNERS = ("low_corner", "inside_low_corner", "file_origin")


@dataclass(frozen=True, slots=True, kw_only=True)
class Placement:
    """One axis of one part as written: `how` is a face word, "centre", or the name of a corner."""

    how: str
    value: str | Written
    path: Path


@dataclass(slots=True, kw_only=True)
class Resolved:
    """One part with everything that holds for it. `entries` maps a key to its value and its path."""

    name: str
    entries: dict[str, tuple[object, Path]] = field(default_factory=dict)
    placed: dict[int, Placement] = field(default_factory=dict)
    damaged: bool = False

    def get(self, key: str) -> object:
        return self.entries[key][0] if key in self.entries else None

    def path(self, key: str) -> Path:
        return self.entries[key][1] if key in self.entries else ("parts", self.name)


def resolve(desk: Desk, parts: Mapping[str, PartSection], axes: Sequence[str]) -> dict[str, Resolved]:
    """Every part with what it takes over, in file order."""
    done: dict[str, Resolved] = {}
    for name in parts:
        chain = _chain(desk, parts, name, done)
        for link in reversed(chain):
            above = done.get(parts[link].like or "")
            done[link] = _joined(desk, link, parts[link], above, axes)
    return {name: done[name] for name in parts}


def _chain(desk: Desk, parts: Mapping[str, PartSection], name: str, done: Mapping[str, Resolved]) -> list[str]:
    """The part and those that it is like, up to one that is done or stands alone."""
    chain: list[str] = []
    while name not in done:
        chain.append(name)
        like = parts[name].like
        if like is None or like not in parts:
            break
        if like in chain:
            circle = " → ".join((*chain[chain.index(like) :], like))
            at = desk.value_at(("parts", chain[-1], "like"))
            desk.problem(at, f"parts that are like each other in a circle: {circle}", "write one of them out")
            break
        name = like
    return chain


def _joined(desk: Desk, name: str, written: PartSection, above: Resolved | None, axes: Sequence[str]) -> Resolved:
    path: Path = ("parts", name)
    part = Resolved(name=name, damaged=desk.is_damaged(path))
    if above is not None:
        part.entries |= above.entries
        part.damaged |= above.damaged
    elif written.like is not None:
        part.damaged = True
        if not desk.is_damaged(("parts", written.like)) and written.like not in desk.part_names:
            known = [each for each in desk.part_names if each != name]
            at = desk.value_at((*path, "like"))
            desk.problem(at, f"there is no part {written.like!r} to be like", nearest(written.like, known))
    for key in TAKEN_WHOLE:
        value = getattr(written, key)
        if value is not None:
            part.entries[key] = (value, (*path, key))
    own = _own_placements(desk, path, written, axes)
    from_file = written.file_origin is not None
    if from_file or own:
        part.entries.pop("file_origin", None)
    if from_file:
        part.entries["file_origin"] = (written.file_origin, (*path, "file_origin"))
        part.placed = own
    else:
        part.placed = {**(above.placed if above else {}), **own}
    return part


def _own_placements(desk: Desk, path: Path, written: PartSection, axes: Sequence[str]) -> dict[int, Placement]:
    """What the part itself says about its place; twice on one axis is a problem."""
    placed: dict[int, Placement] = {}

    def put(axis: int, placement: Placement) -> None:
        before = placed.get(axis)
        if before is None:
            placed[axis] = placement
            return
        where = placement.path[:-1] if placement.how in CORNERS else placement.path
        desk.problem(
            desk.key_at(where),
            f"{path[-1]} is placed twice along {AXES[axis]}: by {before.how} and by {placement.how}",
            "keep one of the two",
        )

    for how in CORNERS:
        corner: list[Written] | None = getattr(written, how)
        for axis, value in enumerate(corner or ()):
            put(axis, Placement(how=how, value=value, path=(*path, how, axis)))
    if written.place is not None:
        for word in FACE_WORDS:
            text: str | None = getattr(written.place, word)
            if text is not None:
                put(outer(word, axes).axis, Placement(how=word, value=text, path=(*path, "place", word)))
        for axis, letter in enumerate(AXES):
            middle = getattr(written.place.centre, letter) if written.place.centre else None
            if middle is not None:
                put(axis, Placement(how="centre", value=middle, path=(*path, "place", "centre", letter)))
    return {axis: placement for axis, placement in placed.items() if placement.how != "file_origin"}
