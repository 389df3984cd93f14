"""The result as JSON: same result, same bytes, on every machine and terminal."""

from __future__ import annotations

import json
from typing import Any

from fitcheck.findings import Finding
from fitcheck.report import as_json_vehicle, json_heights
from fitcheck.report.environment import environment
from fitcheck.report.result_file import (
    BalanceEntry,
    CountedEntry,
    FindingEntry,
    LayoutEntry,
    LedgerEntry,
    MassEntry,
    ResultFile,
    RoomEntry,
    RuleEntry,
    WayEntry,
)
from fitcheck.result import Balance, LedgerRow, MassSummary, Result, Room


def render(result: Result) -> str:
    """The result as one JSON object and a final newline. Written in ASCII, so that no terminal can spoil it."""
    return written(result_entry(result))


def written(entry: ResultFile) -> str:
    """A result file's text."""
    return json.dumps(entry.model_dump(mode="json", exclude_unset=True), indent=2, allow_nan=False) + "\n"


def result_schema() -> dict[str, Any]:
    """JSON Schema (2020-12) of what `render` writes."""
    return {
        "$schema": "https://json-schema.org/draft/2020-12/schema",
        "title": "fitcheck result",
        **{key: value for key, value in ResultFile.model_json_schema(mode="serialization").items() if key != "title"},
    }


def result_entry(result: Result, **more: Any) -> ResultFile:
    """The result as the file holds it, with further sections of it."""
    # Sections that have nothing to say are not set at all, and so left out when written.
    sections: dict[str, Any] = dict(more)
    if result.balance is not None:
        sections["balance"] = _balance(result.balance)
    if result.room:
        sections["room_left"] = tuple(_room(room) for room in result.room)
    if result.counted is not None:
        counts = result.counted
        sections["counted"] = CountedEntry(
            parts=counts.parts, pairs=counts.pairs, measured=counts.measured, far_apart=counts.far_apart
        )
    sections |= json_heights.sections(result.heights, result.screws)
    return ResultFile(
        fitcheck=1,
        layout=LayoutEntry(file=result.file, title=result.title, sha256=result.sha256),
        verdict=result.verdict,
        not_covered=result.not_covered,
        taken_as_exact=len(result.taken_as_exact),
        findings=tuple(finding_entry(finding) for finding in result.findings),
        verb=result.verb,
        judge_by="rss" if result.judge_by == "rss" else "worst case",
        guesses=tuple(guess.name for guess in result.guesses),
        notes=result.notes,
        made_with=dict(environment()),
        **sections,
    )


def finding_entry(finding: Finding) -> FindingEntry:
    """One finding as the file holds it."""
    band = finding.band
    extras: dict[str, Any] = {}
    if finding.volume_mm3 is not None:
        extras["volume_mm3"] = finding.volume_mm3
    if finding.way:
        extras["way"] = finding.way
    if finding.rests_on_guess:
        extras["rests_on_guess"] = finding.rests_on_guess
    return FindingEntry(
        check=finding.check,
        parts=finding.parts,
        build=finding.build,
        state=finding.state,
        status=finding.status,
        value=band.value if band else None,
        low=band.low if band else None,
        high=band.high if band else None,
        rss_low=band.rss_low if band else None,
        rss_high=band.rss_high if band else None,
        unit=finding.unit,
        required=finding.required,
        sense=None if finding.required is None else finding.sense,
        points=finding.points,
        rule=RuleEntry(name=finding.rule.name, text=finding.rule.text, source=str(finding.rule.source)),
        reason=finding.reason,
        settle_by=finding.settle_by,
        mend=finding.mend,
        **extras,
    )


def _balance(balance: Balance) -> BalanceEntry:
    extras: dict[str, Any] = {}
    if balance.vehicle is not None:
        extras["vehicle"] = as_json_vehicle.entry(balance.vehicle)
    return BalanceEntry(
        original=_mass(balance.original),
        proposed=_mass(balance.proposed),
        change=None if balance.change is None else _mass(balance.change),
        ledger=tuple(_ledger(row) for row in balance.ledger),
        **extras,
    )


def _mass(build: MassSummary) -> MassEntry:
    return MassEntry(
        mass_kg=build.mass_kg,
        cg_mm=build.cg_mm,
        inertia_kg_m2=build.inertia_kg_m2,
        mass_worst_kg=build.mass_worst,
        mass_rss_kg=build.mass_rss,
        cg_worst_mm=build.cg_worst,
        cg_rss_mm=build.cg_rss,
        inertia_worst_kg_m2=build.inertia_worst,
        inertia_rss_kg_m2=build.inertia_rss,
        missing=build.missing,
        known_kg=build.known_kg,
    )


def _ledger(row: LedgerRow) -> LedgerEntry:
    return LedgerEntry(
        part=row.part,
        change=row.change,
        mass_kg=row.mass.nominal if row.mass else None,
        mass_low_kg=row.mass.low if row.mass else None,
        mass_high_kg=row.mass.high if row.mass else None,
        centre_mm=row.centre,
        centre_band_mm=row.centre_band,
        source=row.source,
        reason=row.reason,
    )


def _room(room: Room) -> RoomEntry:
    return RoomEntry(
        part=room.part,
        limit_mm=room.limit_mm,
        ways=tuple(WayEntry(way=way, distance_mm=distance, stopped_by=stop) for way, distance, stop in room.ways),
    )
