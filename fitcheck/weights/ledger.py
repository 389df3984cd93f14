"""The mass ledger and both builds: mass, centre of gravity and inertia, each with its band."""

from __future__ import annotations

from collections.abc import Sequence

import numpy as np

from fitcheck.geometry.composite import BandedWeight, combine, composite_band
from fitcheck.geometry.composite_change import change_band
from fitcheck.geometry.inertia_ends import inertia_worst_half
from fitcheck.model.part import Build, Change
from fitcheck.result import Balance, MassSummary, Matrix3
from fitcheck.study import Study
from fitcheck.weights.bodies import Body, body_of

Three = tuple[float, float, float]


def balance_of(study: Study) -> Balance:
    """Every part's mass and both builds side by side."""
    bodies: list[Body] = []
    for part in study.layout.parts:
        body = body_of(study, part)
        if body is not None:
            bodies.append(body)
    original, proposed = (_chosen(bodies, build) for build in (Build.ORIGINAL, Build.PROPOSED))
    before, after = _summary(original), _summary(proposed)
    return Balance(
        ledger=tuple(body.row for body in bodies),
        original=before,
        proposed=after,
        change=_change(bodies, before, after),
    )


def _chosen(bodies: Sequence[Body], build: Build) -> list[Body]:
    return [body for body in bodies if build.holds(Change(body.row.change))]


def _summary(bodies: Sequence[Body]) -> MassSummary:
    """One build; nothing but what is known in part if any mass or centre is missing."""
    missing = tuple(body.row.part for body in bodies if body.weight is None)
    known = sum(body.row.mass.nominal for body in bodies if body.row.mass is not None)
    weights = [body.weight for body in bodies if body.weight is not None]
    if missing or not weights:
        return MassSummary(mass_kg=None, missing=missing, known_kg=known)
    whole, band = combine([weight.weight for weight in weights]), composite_band(weights)
    inertia_worst = inertia_worst_half(weights)
    return MassSummary(
        mass_kg=whole.mass,
        mass_worst=max(band.mass_high - whole.mass, whole.mass - band.mass_low),
        mass_rss=max(band.mass_rss_high - whole.mass, whole.mass - band.mass_rss_low),
        cg_mm=_three(whole.centre),
        cg_worst=_three(_half(whole.centre, band.centre_low, band.centre_high)),
        cg_rss=_three(_half(whole.centre, band.centre_rss_low, band.centre_rss_high)),
        inertia_kg_m2=_matrix(whole.inertia),
        inertia_worst=_matrix(inertia_worst),
        inertia_rss=_matrix(np.minimum(inertia_worst, band.inertia_rss_half)),
        known_kg=known,
    )


def _half(nominal: np.ndarray, low: np.ndarray, high: np.ndarray) -> np.ndarray:
    return np.asarray(np.maximum(high - nominal, nominal - low))


def _change(bodies: Sequence[Body], before: MassSummary, after: MassSummary) -> MassSummary | None:
    """After less before. What both builds share cancels in the bands."""
    if before.mass_kg is None or after.mass_kg is None or before.cg_mm is None or after.cg_mm is None:
        return None
    removed, new, retained = (
        [body.weight for body in bodies if body.row.change == change and body.weight is not None]
        for change in (Change.REMOVED, Change.NEW, Change.RETAINED)
    )
    worst, rss = _mass_bands([*removed, *new])
    shift, band = np.array(after.cg_mm) - np.array(before.cg_mm), change_band(removed, new, retained)
    return MassSummary(
        mass_kg=after.mass_kg - before.mass_kg,
        mass_worst=worst,
        mass_rss=rss,
        cg_mm=_three(shift),
        cg_worst=_three(_half(shift, band.centre_low, band.centre_high)),
        cg_rss=_three(_half(shift, band.centre_rss_low, band.centre_rss_high)),
        inertia_kg_m2=_matrix(_array(after.inertia_kg_m2) - _array(before.inertia_kg_m2)),
        inertia_worst=_matrix(band.inertia_half),
        inertia_rss=_matrix(band.inertia_rss_half),
        known_kg=after.known_kg - before.known_kg,
    )


def _mass_bands(weights: Sequence[BandedWeight]) -> tuple[float, float]:
    halves = np.array(
        [max(w.mass_high - w.weight.mass, w.weight.mass - max(w.mass_low, 0.0)) for w in weights], dtype=float
    )
    return float(halves.sum()), float(np.sqrt((halves**2).sum()))


def _three(values: np.ndarray) -> Three:
    return (float(values[0]), float(values[1]), float(values[2]))


def _array(matrix: Matrix3 | None) -> np.ndarray:
    return np.zeros((3, 3)) if matrix is None else np.array(matrix)


def _matrix(values: np.ndarray) -> Matrix3:
    one, two, three = (_three(row) for row in values)
    return (one, two, three)
