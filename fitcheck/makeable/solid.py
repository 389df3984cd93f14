"""A piece as a closed solid of triangles."""

from __future__ import annotations

from typing import TYPE_CHECKING

from fitcheck.geometry.polygon import triangles_of
from fitcheck.makeable.contour import ring_of, signed_area
from fitcheck.makeable.piece import Piece

if TYPE_CHECKING:
    import numpy as np
    from numpy.typing import NDArray


def triangles(piece: Piece) -> tuple[NDArray[np.float64], NDArray[np.int64]]:
    """vertices (V, 3) in mm, the thickness along z from 0; faces (F, 3) wound outward. Circles by chords within
    `contour.CHORD_MM` of them.
    """
    import numpy as np

    rings = [ring_of(piece.outline), *(ring_of(opening.contour) for opening in piece.openings)]
    flat, faces = triangles_of(rings[0], rings[1:])
    count = len(flat)
    bottom = np.column_stack((flat, np.zeros(count)))
    top = np.column_stack((flat, np.full(count, piece.thickness.nominal)))
    index = {(x, y): number for number, (x, y) in enumerate(map(tuple, flat))}
    sides = []
    for number, ring in enumerate(rings):
        # Material lies to the left of the outline and to the right of an opening.
        way = ring if (signed_area(ring) > 0.0) == (number == 0) else ring[::-1]
        for one, other in zip(way, (*way[1:], way[0]), strict=True):
            a, b = index[one], index[other]
            sides += [(a, b, b + count), (a, b + count, a + count)]
    whole = np.vstack((faces[:, ::-1], faces + count, np.array(sides, dtype=np.int64)))
    return np.vstack((bottom, top)), whole
