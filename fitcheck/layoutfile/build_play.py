"""How far parts can move as they are held: `play` as written to the model, and what it cannot stand beside."""

from __future__ import annotations

from collections.abc import Iterator, Mapping, Sequence

from fitcheck.layoutfile.desk import Desk
from fitcheck.layoutfile.fields import AXES
from fitcheck.layoutfile.resolve import Resolved
from fitcheck.layoutfile.sections_parts import PlaySection
from fitcheck.layoutfile.tree import Path
from fitcheck.model.part import Placing, Play
from fitcheck.model.quantity import PLAY, Quantity
from fitcheck.units import LENGTH, Written


def plays_of(desk: Desk, part: Resolved) -> tuple[Play, ...]:
    """The axes along which the part can move; one with no play at all is left out."""
    return tuple(play for axis, path, entry in _written(part) if (play := _play(desk, part.name, axis, path, entry)))


def _written(part: Resolved) -> Iterator[tuple[int, Path, Written | list[Written]]]:
    section = part.get("play")
    if not isinstance(section, PlaySection):
        return
    for number, axis in enumerate(AXES):
        entry: Written | list[Written] | None = getattr(section, axis)
        if entry is not None:
            yield number, (*part.path("play"), axis), entry


def _play(desk: Desk, name: str, axis: int, path: Path, entry: Written | list[Written]) -> Play | None:
    called = f"{name}.play.{AXES[axis]}"
    if isinstance(entry, list):
        low, high = (desk.exact(side, LENGTH, called, (*path, number)) for number, side in enumerate(entry))
    else:
        low = high = desk.exact(entry, LENGTH, called, path)
    if not low.high and not high.high:
        return None
    free = Quantity(
        name=called, nominal=0.0, unit=low.unit, below=low.high, above=high.high, basis=PLAY, at=desk.value_at(path)
    )
    return Play(
        axis=axis,
        free=free,
        usual=(low.nominal, high.nominal),
        sure=(max(0.0, low.low), max(0.0, high.low)),
    )


def refuse_contact_in_play(
    desk: Desk, parts: Mapping[str, Resolved], placings: Mapping[str, Sequence[Placing]]
) -> None:
    """Note each contact across an axis along which one of the two can move: it would not stay one."""
    playing = {(part.name, axis) for part in parts.values() for axis, _, entry in _written(part) if _moves(entry)}
    for name, each in placings.items():
        for placing in each:
            if not placing.touching:
                continue
            letter = AXES[placing.axis]
            if (name, placing.axis) in playing:
                mend = f"place it by a distance, such as clear of, or leave {letter} out of its play"
                desk.problem(placing.at, f"{name} is in contact across {letter} and has play along {letter}", mend)
            elif (placing.reference, placing.axis) in playing:
                desk.problem(
                    placing.at,
                    f"{name} is in contact with {placing.reference} across {letter}, along which that has play",
                    f"place {name} by a distance and give it its own play, or make the two one part, a group",
                )


def _moves(entry: Written | list[Written]) -> bool:
    sides = entry if isinstance(entry, list) else [entry]
    return any(side.number or side.tolerance is not None for side in sides)
