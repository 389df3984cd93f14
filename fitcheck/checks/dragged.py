"""What the found heights drag along: every finding, weight and level that differs from the layout as written."""

from __future__ import annotations

from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass

from fitcheck.findings import Finding, Status
from fitcheck.model.part import State
from fitcheck.result import MassSummary
from fitcheck.result_heights import MovedRow, ScrewRow
from fitcheck.stack.found import Found
from fitcheck.stack.grips import clamped_parts
from fitcheck.stack.needs import probed
from fitcheck.study import Study
from fitcheck.weights.ledger import balance_of

_SAME_MM = 1e-6
_SAME_KG = 1e-6

Key = tuple[str, tuple[str, ...], str, str, str]


@dataclass(frozen=True, slots=True, kw_only=True)
class Movers:
    """Which found heights move a part, or change its own size, along the upright axis."""

    by_part: Mapping[str, tuple[str, ...]]

    def of(self, names: Sequence[str]) -> tuple[str, ...]:
        found = [mover for name in names for mover in self.by_part.get(name, ())]
        return tuple(dict.fromkeys(found))


def movers_of(solved: Study, found: Sequence[Found]) -> Movers:
    """By part: the names of the heights that its planes hang on. A screw counts as its clamped parts."""
    probe = Study(probed(solved.layout), solved.meshes)
    chain, up = probe.chain(State.BEGINNING), solved.layout.up[0]
    heights = {size.name: part for each in found for part, size in zip(each.parts, each.written, strict=True)}
    by_part: dict[str, tuple[str, ...]] = {}
    for part in probe.layout.parts:
        terms = {**chain.low(part, up).terms, **chain.high(part, up).terms}
        by_part[part.name] = tuple(owner for name, owner in heights.items() if name in terms)
    for screw in solved.layout.sections.screws:
        own = [owner for name in clamped_parts(screw) for owner in heights.values() if owner == name]
        by_part[screw.name] = tuple(dict.fromkeys(own))
    return Movers(by_part=by_part)


def moved_rows(before: Sequence[Finding], after: Sequence[Finding], movers: Movers) -> Iterator[MovedRow]:
    """Each finding whose status or value changed, with the height that changed it."""
    old, new = ({_key(finding): finding for finding in findings} for findings in (before, after))
    for key in dict.fromkeys((*old, *new)):
        one, other = old.get(key), new.get(key)
        known = other or one
        assert known is not None  # noqa: S101 (the key comes from one of the two)
        by = movers.of(_parts(known))
        if by and _is_news(one, other):
            yield MovedRow(
                what=known.check,
                parts=known.parts,
                state=known.state,
                before=_said(one),
                after=_said(other),
                by=_by(by),
            )


def _parts(finding: Finding) -> tuple[str, ...]:
    """The part names of a finding; a face such as "lid top" counts as its part."""
    if finding.check != "level":
        return finding.parts
    return tuple(face.rsplit(" ", 1)[0] for face in finding.parts)


def _key(finding: Finding) -> Key:
    return (finding.check, finding.parts, finding.state, finding.sense, finding.rule.rule_set)


def _is_news(one: Finding | None, other: Finding | None) -> bool:
    """Whether the two differ, parts that do not overlap either way left out: how far apart says the gap."""
    return not (_is_clear(one) and _is_clear(other)) and _differs(one, other)


def _is_clear(finding: Finding | None) -> bool:
    return finding is None or (finding.check == "overlap" and finding.status is Status.MET)


def _differs(one: Finding | None, other: Finding | None) -> bool:
    if one is None or other is None or one.status is not other.status:
        return True
    if one.band is None or other.band is None:
        return one.band is not other.band
    return abs(one.band.value - other.band.value) > _SAME_MM or abs(one.band.low - other.band.low) > _SAME_MM


def _said(finding: Finding | None) -> str:
    if finding is None:
        return "too far apart to be listed"
    if finding.band is None:
        return finding.status.value
    value = finding.band.value
    if finding.check == "overlap":
        return f"{finding.status.value}, {abs(value):.2f} mm {'deep' if value > 0 else 'apart'}"
    return f"{finding.status.value}, {value + 0.0:.2f} {finding.unit}"


def _by(heights: Sequence[str]) -> str:
    return "height of " + ", ".join(heights)


def weight_rows(written: Study, solved: Study, found: Sequence[Found]) -> Iterator[MovedRow]:
    """Mass and centre of gravity of the proposed build where the heights change them."""
    before, after = balance_of(written).proposed, balance_of(solved).proposed
    by = _by([name for each in found for name in each.parts])
    if before.mass_kg is None or after.mass_kg is None:
        missing = ", ".join(after.missing)
        yield MovedRow(
            what="mass and centre of gravity", parts=(), state="", before="unknown",
            after=f"unknown: nothing gives the mass of {missing}", by=by,
        )  # fmt: skip
        return
    if abs(before.mass_kg - after.mass_kg) > _SAME_KG:
        yield MovedRow(
            what="mass of the proposed build", parts=(), state="",
            before=f"{before.mass_kg:.2f} kg", after=f"{after.mass_kg:.2f} kg", by=by,
        )  # fmt: skip
    if before.cg_mm is not None and after.cg_mm is not None and _moved(before, after):
        yield MovedRow(
            what="centre of gravity of the proposed build", parts=(), state="",
            before=_point(before.cg_mm), after=_point(after.cg_mm), by=by,
        )  # fmt: skip


def _moved(before: MassSummary, after: MassSummary) -> bool:
    one, other = before.cg_mm, after.cg_mm
    return one is not None and other is not None and any(abs(a - b) > 1e-4 for a, b in zip(one, other, strict=True))


def _point(at: tuple[float, float, float]) -> str:
    return f"({at[0]:.1f}, {at[1]:.1f}, {at[2]:.1f})"


def fixed_masses(solved: Study, found: Sequence[Found]) -> tuple[str, ...]:
    """What is to be said of parts whose mass is stated and so does not follow their new height."""
    said = []
    for each in found:
        for name, written in zip(each.parts, each.written, strict=True):
            part = solved.layout.by_name[name]
            size = solved.layout.quantities.get(written.name, written)
            if part.mass is not None and abs(size.nominal - written.nominal) > _SAME_MM:
                said.append(
                    f"{name} is still counted with its stated {part.mass.nominal:g} kg, though its height went from "
                    f"{written.nominal:g} to {size.nominal:g}: weigh it again, or give its material instead"
                )
    return tuple(said)


def cable_rows(written: Study, solved: Study, movers: Movers) -> Iterator[MovedRow]:
    """Cables and busbars between two parts of which one has risen more than the other."""
    for cable in solved.layout.sections.cables:
        before, after = (_rise(study, *cable.ends) for study in (written, solved))
        by = movers.of(cable.ends)
        if by and abs(before - after) > _SAME_MM:
            yield MovedRow(
                what=f"level of the ends of {cable.name}", parts=cable.ends, state="",
                before=f"{before:+.2f} mm", after=f"{after:+.2f} mm", by=_by(by),
            )  # fmt: skip


def _rise(study: Study, one: str, other: str) -> float:
    up, sign = study.layout.up
    chain, by_name = study.chain(State.BEGINNING), study.layout.by_name
    middles = [(chain.low(by_name[name], up) + chain.high(by_name[name], up)).nominal / 2 for name in (one, other)]
    return (middles[1] - middles[0]) * sign


def screw_rows_moved(before: Sequence[ScrewRow], after: Sequence[ScrewRow], movers: Movers) -> Iterator[MovedRow]:
    """Screws whose window went elsewhere."""
    for one, other in zip(before, after, strict=True):
        if one.window_mm != other.window_mm:
            yield MovedRow(
                what="window of screw lengths", parts=(other.screw,), state="",
                before=_window(one), after=_window(other), by=_by(movers.of((other.screw,))),
            )  # fmt: skip


def _window(row: ScrewRow) -> str:
    if row.window_mm is None:
        return "unknown"
    low, high = row.window_mm
    return f"{low:.1f} mm up" if high is None else f"{low:.1f} to {high:.1f} mm"
