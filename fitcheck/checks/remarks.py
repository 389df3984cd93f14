"""Remarks on a layout that are no findings: slips that a careful reader would ask about."""

from __future__ import annotations

from collections.abc import Iterator

from fitcheck.findings import TOUCH_MM
from fitcheck.model.part import Part, State
from fitcheck.study import Study


def remarks(study: Study) -> tuple[str, ...]:
    """Plain sentences, in file order."""
    return tuple(_contacts_beside(study))


def _contacts_beside(study: Study) -> Iterator[str]:
    """Parts that are said to stand on or against another and share no face with it."""
    chain = study.chain(State.BEGINNING)

    def apart(one: Part, other: Part, axis: int) -> bool:
        return (
            min(chain.high(one, axis).nominal, chain.high(other, axis).nominal)
            - max(chain.low(one, axis).nominal, chain.low(other, axis).nominal)
            <= TOUCH_MM
        )

    for part in study.layout.parts:
        for placing in part.placings:
            if not placing.touching or placing.reference is None:
                continue
            support = study.layout.by_name[placing.reference]
            if any(apart(part, support, axis) for axis in range(3) if axis != placing.axis):
                yield (
                    f"{part.name} is said to be {placing.words!r}, but it stands beside {support.name}: "
                    "they are level and share no face"
                )
