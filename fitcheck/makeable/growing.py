"""What swelling takes: how much a module grows along each of its axes, and how much of a gap is gone by the end of
life."""

from __future__ import annotations

from collections.abc import Iterator, Mapping

from fitcheck.findings import Band
from fitcheck.model.part import Part
from fitcheck.model.quantity import Quantity
from fitcheck.model.shape import Box, Prism, meshes_of, sizes_of

Size3 = tuple[float, float, float]


def sizes_along(part: Part) -> tuple[Quantity, Quantity, Quantity] | None:
    """The overall sizes of a box or a prism along its own axes; None for other shapes."""
    match part.shape:
        case Box(size=size):
            return size
        case Prism(extent=extent, height=height, along=along):
            values: list[Quantity] = list(extent)
            values.insert(along, height)
            return values[0], values[1], values[2]
    return None


def growth_mm(part: Part) -> Size3:
    """How much longer the part may become along each of its own axes by the end of life: the largest part within
    tolerance at its largest share of growth, in mm. 0 along axes without growth; ValueError for a shape without
    overall sizes.
    """
    sizes = sizes_along(part)
    if sizes is None:
        raise ValueError(f"{part.name} has no overall sizes of its own")
    shares = {axis: share.high for axis, share in part.grows}
    one, two, three = (size.high * shares.get(axis, 0.0) for axis, size in enumerate(sizes))
    return one, two, three


def taken_mm(new: Band, aged: Band, names: tuple[str, ...], parts: Mapping[str, Part]) -> float:
    """At most so much of a gap is gone between the two ages, over all builds within tolerance, in mm; never below 0.

    `new` and `aged` are the worst-case bands of one pair. The build that is tightest when new loses at most the
    difference of the two low ends. Another build loses more only by as much as its growth differs, which is its sizes'
    tolerance times the share: that is added, for the pair and for all that carries it.
    """
    lost = max(new.low - aged.low, new.value - aged.value, new.high - aged.high)
    if lost <= 0.0:
        return 0.0
    return lost + sum(_unlike(parts[name]) for name in _carrying(names, parts))


def _unlike(part: Part) -> float:
    """How much the growth of two parts of that kind may differ by their sizes alone, along all axes together."""
    sizes = sizes_along(part)
    if sizes is not None:
        return sum(share.high * (sizes[axis].below + sizes[axis].above) for axis, share in part.grows)
    loose = sum(value.below + value.above for value in sizes_of(part.shape) if value.unit == "mm")
    loose += sum(2.0 * mesh.tolerance for mesh in meshes_of(part.shape))
    return loose * sum(share.high for _, share in part.grows)


def _carrying(names: tuple[str, ...], parts: Mapping[str, Part]) -> Iterator[str]:
    """The parts of those names that the layout holds, and all that they are placed by, each once."""
    waiting, seen = list(names), set[str]()
    while waiting:
        name = waiting.pop()
        if name in seen or name not in parts:
            continue
        seen.add(name)
        yield name
        waiting += [placing.reference for placing in parts[name].placings if placing.reference is not None]
