"""A pair of convex pieces in the fewest uncertain values that say the same.

What moves both pieces alike is taken off, values that do the same are added up, and every value is scaled to run from
-1 to 1 about the middle of its band.
"""

from __future__ import annotations

from dataclasses import dataclass, replace

import numpy as np
from numpy.typing import NDArray

from fitcheck.geometry.convex_pieces import Array, BoxForm, Hull, Piece, Round, values_of
from fitcheck.geometry.hull_faces import hull_of

NO_EFFECT = 1e-12
"""mm. A value that moves no point by more is dropped; two values whose moves differ by no more do the same."""


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class ReducedPair:
    """Two pieces in V values that each run from -1 to 1, and do something to the pair."""

    a: Piece
    b: Piece

    @property
    def values(self) -> int:
        return values_of(self.a)


def reduced(a: Piece, b: Piece, below: Array, above: Array) -> ReducedPair:
    """The pair about the middle of the bands of its values; below, above: (P,), >= 0."""
    down, up = np.asarray(below, dtype=float), np.asarray(above, dtype=float)
    if not (values_of(a) == values_of(b) == len(down) == len(up)):
        raise ValueError("both pieces and both ends of the bands need the same list of values")
    if (down < 0.0).any() or (up < 0.0).any():
        raise ValueError("the ends of a band are given as distances from nominal, never below zero")
    middle, half = (up - down) / 2.0, (up + down) / 2.0
    shared = b.moves[0] if isinstance(b, Hull) else b.centre_moves
    mix = _mixed(np.concatenate([_stacked(a, shared), _stacked(b, shared)], axis=1) * half[:, None], half)
    return ReducedPair(a=_rewritten(a, middle, shared, mix), b=_rewritten(b, middle, shared, mix))


def _stacked(piece: Piece, shared: Array) -> Array:
    """Everything that each value does to a piece, as one row per value (P, D)."""
    if isinstance(piece, Hull):
        return np.asarray((piece.moves - shared).transpose(1, 0, 2).reshape(len(shared), piece.points.size))
    return np.column_stack([piece.centre_moves - shared, piece.radius_moves, piece.half_length_moves])


def _mixed(rows: Array, half: Array) -> Array:
    """(V, P): each new value as a sum of old ones, scaled. rows: (P, D) full effect of each old value."""
    lengths = np.linalg.norm(rows, axis=1)
    mix: list[Array] = []
    left = lengths > NO_EFFECT
    while left.any():
        first = int(left.argmax())
        # The row as it is, turned over, or longer: in each case it does the same as the first.
        shares = rows @ rows[first] / lengths[first] ** 2
        alike = left & (np.abs(rows - shares[:, None] * rows[first]).max(axis=1) <= NO_EFFECT)
        alike[first] = True
        mix.append(np.where(alike, np.sign(shares) * half, 0.0))
        left &= ~alike
    return np.array(mix).reshape(len(mix), len(rows))


def _rewritten(piece: Piece, middle: Array, shared: Array, mix: Array) -> Piece:
    if isinstance(piece, Hull):
        moves = piece.moves - shared
        return Hull(
            points=piece.points + np.einsum("p,kpd->kd", middle, moves),
            moves=np.einsum("vp,kpd->kvd", mix, moves),
            box=None if piece.box is None else _rewritten_box(BoxForm(*piece.box), middle, shared, mix),
        )
    shifts = piece.centre_moves - shared
    return Round(
        centre=piece.centre + middle @ shifts,
        axis=piece.axis,
        radius=piece.radius + float(middle @ piece.radius_moves),
        half_length=piece.half_length + float(middle @ piece.half_length_moves),
        centre_moves=mix @ shifts,
        radius_moves=mix @ piece.radius_moves,
        half_length_moves=mix @ piece.half_length_moves,
    )


def _rewritten_box(form: BoxForm, middle: Array, shared: Array, mix: Array) -> BoxForm:
    shifts = form.centre_moves - shared
    return BoxForm(
        centre=form.centre + middle @ shifts,
        centre_moves=mix @ shifts,
        rotation=form.rotation,
        half=form.half + middle @ form.half_moves,
        half_moves=mix @ form.half_moves,
    )


def most_changes(pair: ReducedPair) -> Array:
    """The most that each value can change the signed distance, (V,)."""
    if isinstance(pair.a, Hull) and isinstance(pair.b, Hull):
        apart = pair.b.moves[None, :, :, :] - pair.a.moves[:, None, :, :]
        return np.asarray(np.linalg.norm(apart, axis=3).max(axis=(0, 1)))
    shifts_a, own_a = _shifts(pair.a)
    shifts_b, own_b = _shifts(pair.b)
    return np.asarray(np.linalg.norm(shifts_b[None, :] - shifts_a[:, None], axis=3).max(axis=(0, 1)) + own_a + own_b)


def _shifts(piece: Piece) -> tuple[Array, Array]:
    if isinstance(piece, Hull):
        return piece.moves, np.zeros(piece.moves.shape[1])
    return piece.centre_moves[None, :, :], np.hypot(piece.radius_moves, piece.half_length_moves)


def held(piece: Piece, at: Array) -> Piece:
    """The piece with its values at `at` (P,) and no uncertainty left."""
    if isinstance(piece, Hull):
        box = None if piece.box is None else BoxForm(*piece.box)
        return Hull(
            points=piece.points + np.einsum("p,kpd->kd", at, piece.moves),
            moves=piece.moves[:, :0],
            box=None
            if box is None
            else BoxForm(
                box.centre + at @ box.centre_moves,
                box.centre_moves[:0],
                box.rotation,
                box.half + at @ box.half_moves,
                box.half_moves[:0],
            ),
        )
    return replace(
        piece,
        centre=piece.centre + at @ piece.centre_moves,
        radius=piece.radius + float(at @ piece.radius_moves),
        half_length=piece.half_length + float(at @ piece.half_length_moves),
        centre_moves=piece.centre_moves[:0],
        radius_moves=piece.radius_moves[:0],
        half_length_moves=piece.half_length_moves[:0],
    )


def steady_values(pair: ReducedPair) -> list[bool]:
    """For each value, whether it keeps all faces and edges of both pieces parallel to themselves."""
    return [bool(keeps) for keeps in _keeps_shape(pair.a) & _keeps_shape(pair.b)]


def _keeps_shape(piece: Piece) -> NDArray[np.bool_]:
    if isinstance(piece, Round) or piece.box is not None:
        return np.ones(values_of(piece), dtype=bool)
    shifted: NDArray[np.bool_] = np.abs(piece.moves - piece.moves[0]).max(axis=(0, 2)) <= NO_EFFECT
    if shifted.all():
        return shifted
    ends = hull_of(piece.points).edge_ends
    if len(set(ends.ravel().tolist())) < len(piece.points):
        # A point that is no corner now may become one.
        return shifted
    edges = piece.points[ends[:, 1]] - piece.points[ends[:, 0]]
    stretches = piece.moves[ends[:, 1]] - piece.moves[ends[:, 0]]
    lengths = np.linalg.norm(edges, axis=1)
    sideways = np.linalg.norm(np.cross(edges[:, None, :], stretches), axis=2) / lengths[:, None]
    parallel = (sideways <= NO_EFFECT).all(axis=0)
    # An edge that might shrink to nothing and turn round would change the shape after all.
    shrinks = (np.abs(stretches[:, parallel]).sum(axis=(1, 2)) >= lengths).any()
    return np.asarray(shifted if shrinks else shifted | parallel)
