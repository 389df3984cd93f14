"""Touch: can a finger or a wire reach live metal through the openings that the build leaves?

What it checks
    Every live part of a circuit above 60 V d.c., in a build with a lid, against two probes: the jointed finger, 12 mm
    thick and 80 long, and the wire, 1.0 mm thick and 100 long.

Why it matters
    A hand that feels for a dropped screw goes where the eye does not. What a finger cannot reach, nobody touches by
    mistake.

How it is measured
    From above, on a grid: the probe is a ball of its own thickness on any path, however bent, no longer than the probe,
    from wherever its stop can stand. All parts but the live ones are in the way; walls count as thinner than they are
    by half the diagonal of a cell, and by what neighbouring pieces may move against each other within tolerance. The
    end of the finger, which is thinner, may go 8 mm on as a ball of 8 mm. A bent path counts even where joints, or the
    stiffness of the wire, would not follow it. Then straight placings are tried on the parts as drawn: from points of
    the live part in many directions, and square to the faces down the middle of what is open over it. Where it is still
    in doubt, the cells are cut in eight each way, to see which joints are shut and what a thin wall keeps apart.

    met: no such path comes to the live part, in any build. not met: a straight placing was found that touches it, as
    drawn; `points` are the point touched and the middle of the stop. Else cannot tell: the grid is too coarse, an
    opening too near the limit, or the way to it bent. not checked: the build has no lid, or all potentials of a circuit
    are the same, so that its voltage is not known.

    What is not in the layout (cable entries, screws left out, vents nobody drew) is not seen. Whether the finger or the
    wire is asked for depends on where the pack stands: the wire within passenger and luggage space.

Example
    A slot 14 x 40 over a terminal 30 below the lid: a finger goes straight down. Not met. A slot 8 wide: met for the
    finger, not met for the wire.

How to mend
    Close or narrow the opening, put a cover over the live part, or move it away from the opening. Before anybody works
    there: isolate, lock off and prove the absence of voltage with a tester proved before and after; module terminals
    stay live all the same.

Source
    UN R100 annex 3, with the probes of IEC 60529 and IEC 61032, as quoted on public pages: thickness and length of the
    finger read on three, its tip on two, the wire from memory, unverified. How far the thinner end of the finger
    reaches is fitcheck's own cautious choice. The original decides. At or above the cited figure is not an approval.
"""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass

from fitcheck.checks.potentials import (
    STATE_VOLTAGE,
    live_parts,
    no_voltage,
    potential_of,
    whole_voltage,
    without_voltage,
)
from fitcheck.checks.touch_matter import matter_of
from fitcheck.findings import Finding, Point, Rule, Sense, Status
from fitcheck.geometry.probe_close import SPLITS, may_touch_closely
from fitcheck.geometry.probe_matter import distances
from fitcheck.geometry.probe_opening import Placing
from fitcheck.geometry.probe_reach import Probe, grid_over, may_enter, may_touch
from fitcheck.geometry.probe_straight import straight_placing
from fitcheck.model.part import FREE_SPACE_ROLES, Build, Part, State
from fitcheck.model.sections import Electrical
from fitcheck.standards.access_probes import FINGER, LIVE_FROM_V, WIRE, AccessProbe
from fitcheck.study import Study

NAME = "touch"
PROBES = (FINGER, WIRE)
NO_LID = "this build has no lid: nothing in the layout closes the case"
ADD_LID = "add the lid and the covers, with their openings"

THIN_END_MM = 8.0
"""The end of the finger is thinner than the rest; how long that end is was not read anywhere, so this is generous."""
STOP_CORNER_MM = 27.0
"""Half the diagonal of the finger's stop face, 50 x 20: a ball of that radius stands for it in a placing."""
MOST_CELLS = 12_000_000
FINEST_MM = 2.5
MOST_TILES = 12_000
"""Of a closer look: about half a minute."""


@dataclass(frozen=True, slots=True, kw_only=True)
class _Answer:
    """Whether the grid leaves a way open, the straight placing found, and the size of the cells that say so (mm)."""

    near: bool
    placing: Placing | None
    cell: float

    @property
    def is_open(self) -> bool:
        return self.near and self.placing is None


def check(study: Study, build: Build) -> list[Finding]:
    """Two findings for each live part above 60 V at each age: the finger, then the wire."""
    electrical = study.layout.sections.electrical
    if electrical is None:
        return []
    parts = [part for part in study.layout.in_build(build) if part.role not in FREE_SPACE_ROLES]
    all_live = live_parts(study.layout, build)
    live = [part for part in all_live if _is_high(electrical, part)]
    roles = {part.role for part in parts}
    if not roles & {"enclosure", "lid"}:
        return []
    unknown = [
        _not_checked(build, of, no_voltage(circuit), STATE_VOLTAGE)
        for circuit, of in without_voltage(electrical, all_live).items()
    ]
    if not live:
        return unknown
    if "lid" not in roles:
        return [*unknown, _not_checked(build, live, NO_LID, ADD_LID)]
    return [*unknown, *(finding for state in study.states for finding in _at(study, build, state, parts, live))]


def _is_high(electrical: Electrical, part: Part) -> bool:
    """Whether the part is of a circuit that somewhere exceeds 60 V; its own potential may well be zero."""
    potential = potential_of(electrical, part)
    return potential is not None and whole_voltage(electrical, potential.circuit) > LIVE_FROM_V


def _not_checked(build: Build, live: list[Part], reason: str, mend: str) -> Finding:
    return Finding(
        check=NAME,
        parts=tuple(part.name for part in live),
        build=build,
        status=Status.NOT_CHECKED,
        rule=_rule(FINGER),
        reason=reason,
        mend=mend,
    )


def _at(study: Study, build: Build, state: State, parts: list[Part], live: list[Part]) -> Iterator[Finding]:
    study.progress("openings for a finger or a wire")
    widest = max(probe.stop for probe in PROBES) / 2.0
    matter = matter_of(study, state, parts, near_mm=2.0 * FINGER.diameter)
    targets = [piece for part in live for piece in matter[part.name]]
    in_the_way = [piece for name, pieces in matter.items() for piece in pieces if name not in {p.name for p in live}]
    grid = grid_over([*targets, *in_the_way], widest, MOST_CELLS, FINEST_MM)
    field = distances(grid, in_the_way, widest + 1.0)
    entered = {}
    for probe in PROBES:
        study.progress(f"where the {probe.name} may get to")
        entered[probe.name] = may_enter(grid, field, as_probe(probe), targets)
    answers = {}
    for probe in PROBES:
        for part in live:
            study.progress(f"{part.name} against the {probe.name}")
            near = may_touch(grid, entered[probe.name], as_probe(probe), matter[part.name])
            placing = straight_placing(matter[part.name], in_the_way, _solid(probe)) if near else None
            answers[part.name, probe.name] = _Answer(near=near, placing=placing, cell=grid.cell)
        doubtful = [part.name for part in live if answers[part.name, probe.name].is_open]
        if doubtful:
            study.progress(f"a closer look for the {probe.name}")
            close = may_touch_closely(
                grid, entered[probe.name], in_the_way, as_probe(probe), [matter[name] for name in doubtful], MOST_TILES
            )
            for name, near in zip(doubtful, close or [], strict=False):
                answers[name, probe.name] = _Answer(near=near, placing=None, cell=grid.cell / SPLITS)
    for part in live:
        for probe in PROBES:
            yield _finding(build, state, part, probe, answers[part.name, probe.name])


def as_probe(probe: AccessProbe) -> Probe:
    """The probe as it may at most get through."""
    return Probe(
        radius=probe.diameter / 2.0,
        length=probe.length,
        stop_radius=probe.stop / 2.0,
        tip_radius=probe.tip / 2.0,
        tip_length=THIN_END_MM if probe is FINGER else 0.0,
    )


def _solid(probe: AccessProbe) -> Probe:
    """The probe as it at least gets through: no end thinner, and its whole stop."""
    return Probe(
        radius=probe.diameter / 2.0,
        length=probe.length,
        stop_radius=STOP_CORNER_MM if probe is FINGER else probe.stop / 2.0,
        tip_radius=probe.diameter / 2.0,
        tip_length=0.0,
    )


def _rule(probe: AccessProbe) -> Rule:
    return Rule(
        name=f"{probe.name}, {probe.code}",
        text=f"a {probe.name} {probe.diameter:g} mm thick and {probe.length:g} long touches nothing above "
        f"{LIVE_FROM_V:g} V d.c.; the original decides",
        source=probe.source,
    )


def _finding(build: Build, state: State, part: Part, probe: AccessProbe, answer: _Answer) -> Finding:
    status, reason, settle, mend = Status.MET, f"no way leads there, on a grid of {answer.cell:.2g} mm", "", ""
    points: tuple[Point, Point] | None = None
    if answer.placing is not None:
        status = Status.NOT_MET
        reason = f"a {probe.name} put in straight touches it, as drawn"
        mend = "close or narrow the opening, cover the part, or move it away from the opening"
        points = (_point(answer.placing.touched), _point(answer.placing.stop))
    elif answer.near:
        status = Status.CANNOT_TELL
        reason = (
            f"perhaps reached: a way leads there on a grid of {answer.cell:.2g} mm, with walls thinned by grid and "
            "tolerances; no straight one was found"
        )
        settle = f"try it on the assembled pack, dead, with the {probe.name}"
    return Finding(
        check=NAME,
        parts=(part.name, probe.name),
        build=build,
        state=state,
        status=status,
        rule=_rule(probe),
        sense=Sense.AT_LEAST,
        points=points,
        reason=reason,
        settle_by=settle,
        mend=mend,
    )


def _point(point: object) -> Point:
    x, y, z = (float(value) for value in point)  # type: ignore[attr-defined]
    return (x, y, z)
