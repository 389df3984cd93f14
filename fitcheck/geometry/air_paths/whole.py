"""The field of whole edges and triangles, from which every search begins: what is known of its steps is kept."""

from __future__ import annotations

from dataclasses import replace

import numpy as np

from fitcheck.geometry.air_paths.field import Field, Rows
from fitcheck.geometry.air_paths.walls import Array
from fitcheck.geometry.triangles import closest_points

AT_ONCE = 50_000


class Whole:
    """Each step is looked at for what blocks it once, when it is first asked for."""

    def __init__(self, field: Field) -> None:
        ends = field.edges.ends
        lengths = [
            _distances(ends[rows[:, 1]][:, [0, 1, 1]], metal[rows[:, 0]])
            for metal, rows in zip(field.metal, field.holds, strict=True)
        ]
        reach = np.full((2, len(ends)), np.inf)
        for hub in (0, 1):
            np.minimum.at(reach[hub], field.holds[hub][:, 1], lengths[hub])
        # An edge behind every face of a conductor lies in it.
        reach[np.isinf(reach)] = 0.0
        rows = field.tight()
        field = replace(field.only(rows), reach=reach)
        self._field, self._lengths = field, (lengths[0][rows[1]], lengths[1][rows[2]])
        one, other = field.direct.T
        self._direct = _distances(field.metal[0][one], field.metal[1][other])
        counts = [len(field.pairs), *(len(rows) for rows in field.holds), len(field.direct)]
        self._known = [np.zeros(count, dtype=bool) for count in counts]
        self._clear = [np.ones(count, dtype=bool) for count in counts]

    def within(self, highest: float, most: int) -> Field | None:
        """What lies on ways as short as `highest` and is not proven to be blocked; None if more than `most` steps."""
        near = self._field.shorter(highest, self._lengths, self._direct)
        rows = [one & clear for one, clear in zip(near, self._clear, strict=True)]
        if sum(int(one.sum()) for one in rows) > most:
            return None
        fresh = [one & ~known for one, known in zip(rows, self._known, strict=True)]
        found = self._field.only(_rows(fresh)).clear()
        for k, (one, clear) in enumerate(zip(fresh, found, strict=True)):
            self._known[k] |= one
            self._clear[k][one] = clear
        return self._field.only(_rows([one & clear for one, clear in zip(rows, self._clear, strict=True)]))


def _rows(each: list[np.ndarray]) -> Rows:
    return each[0], each[1], each[2], each[3]


def _distances(ones: Array, others: Array) -> Array:
    found = np.empty(len(ones))
    for low in range(0, len(ones), AT_ONCE):
        part = slice(low, low + AT_ONCE)
        found[part] = closest_points(ones[part], others[part])[0]
    return found
