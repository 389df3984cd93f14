"""Every kind of screw with its window, its length and its preload, as a report shows them."""

from __future__ import annotations

import math
from collections.abc import Mapping

from fitcheck.errors import OutsideTable
from fitcheck.model.sections import Screw
from fitcheck.result_heights import ScrewRow
from fitcheck.stack.grips import grip_of
from fitcheck.stack.lengths import Ends, Fit, fit_of
from fitcheck.stack.riser_screws import combinations
from fitcheck.stack.torque_sense import load_path, sense_of
from fitcheck.study import Study


def screw_rows(
    study: Study, least_heights: Mapping[str, float] | None = None, present: Mapping[str, float] | None = None
) -> tuple[ScrewRow, ...]:
    """One row for each kind of screw, in file order. The two mappings (part -> mm) offer standoffs for found risers."""
    return tuple(_row(study, screw, least_heights or {}, present or {}) for screw in study.layout.sections.screws)


def _row(study: Study, screw: Screw, least_heights: Mapping[str, float], present: Mapping[str, float]) -> ScrewRow:
    try:
        fit = fit_of(study, screw)
    except OutsideTable as outside:
        return _unknown(study, screw, str(outside))
    notes = list(fit.notes)
    try:
        sense = sense_of(study, screw)
    except OutsideTable as outside:
        sense = None
        notes.append(f"torque: {outside}")
        notes += load_path(study, screw)
    else:
        notes += load_path(study, screw) if sense is None else sense.notes
    standoffs = combinations(study.layout, fit, dict(least_heights), dict(present))
    return ScrewRow(
        screw=screw.name,
        thread=fit.thread.name,
        places=len(screw.places),
        grip_mm=fit.grip.form.nominal,
        grip_low_mm=fit.grip.low,
        grip_high_mm=fit.grip.high,
        grip_of=fit.grip.of,
        engagement_mm=fit.needed,
        published_mm=fit.published,
        window_mm=_ends(fit.window),
        worst_window_mm=_ends(fit.narrowed()),
        length_mm=fit.length,
        length_pm_mm=fit.pm,
        opened_by=fit.opened_by,
        choices=(*fit.choices, *standoffs),
        torque_nm=None if screw.torque_nm is None else screw.torque_nm.nominal,
        preload_kn=None if sense is None else (sense.preload_low / 1000, sense.preload_high / 1000),
        proof_kn=None if sense is None else sense.proof / 1000,
        notes=tuple(notes),
    )


def _ends(window: Ends) -> tuple[float, float | None]:
    return (window.low, None if math.isinf(window.high) else window.high)


def _unknown(study: Study, screw: Screw, why: str) -> ScrewRow:
    """A screw of which no table knows enough: its grip if that at least is known."""
    try:
        grip = grip_of(study, screw)
    except OutsideTable:
        grip = None
    return ScrewRow(
        screw=screw.name,
        thread=screw.thread,
        places=len(screw.places),
        grip_mm=None if grip is None else grip.form.nominal,
        grip_low_mm=None if grip is None else grip.low,
        grip_high_mm=None if grip is None else grip.high,
        grip_of=() if grip is None else grip.of,
        engagement_mm=None,
        published_mm=None,
        window_mm=None,
        worst_window_mm=None,
        length_mm=None if screw.length is None else screw.length.nominal,
        length_pm_mm=0.0,
        notes=(why, *load_path(study, screw)),
    )


def fit_or_why(study: Study, screw: Screw) -> Fit | str:
    """The fit, or why there is none."""
    try:
        return fit_of(study, screw)
    except OutsideTable as outside:
        return str(outside)
