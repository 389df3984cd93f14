"""The shortest way between two conductors over a net of cells: an actual way, and a proven lower bound, drawn together.

Each round finds the shortest way from node to node (an upper bound), a potential from either end (a lower bound), drops
what lies on no way short enough, and halves the segments that are left.
"""

from __future__ import annotations

import math
from collections.abc import Callable, Sequence
from dataclasses import dataclass, replace

import numpy as np

from fitcheck.geometry.surface_paths.actual import Actual
from fitcheck.geometry.surface_paths.cells import Cell
from fitcheck.geometry.surface_paths.chains import TooFine, chained, check_size
from fitcheck.geometry.surface_paths.claws import Claw, claws_of, nearest
from fitcheck.geometry.surface_paths.cuts import cut_at_links, cut_under_claws
from fitcheck.geometry.surface_paths.facing import Opening, Sight, leaps_among, near_pairs
from fitcheck.geometry.surface_paths.links import links_of
from fitcheck.geometry.surface_paths.net import Array, Index, Mask, Net
from fitcheck.geometry.surface_paths.potential import CORNERS, Moves, Slopes
from fitcheck.geometry.surface_paths.surface import net_of
from fitcheck.geometry.surface_paths.waves import Waves

ROUNDS = 20
HASTY, PATIENT = 10, 40
"""How often a potential is bent at most."""
MOST_STEPS = 3_000_000
MOST_TWICE = 100_000
"""With no more steps than this a way that is too short is looked at once more, for its length is told."""
LONG_SHARE = 0.5
SLOW_SHARE = 0.8
STALE, STALE_SHARE = 3, 0.7
"""Where so many rounds have not brought the bounds together to this share, more would not either."""
COARSE = 4.0
"""The first segments are this share of the way."""

Progress = Callable[[str], None]


@dataclass(frozen=True, slots=True, eq=False)
class Found:
    """`low` is proven, `high` the length of the way along `line` (N, 3); infinite without one, where `limit` held.

    `gave_up`: the search ended before the two came as near to each other as was asked.
    """

    low: float
    high: float
    line: Array
    steps: int
    rounds: int
    gave_up: bool = False


@dataclass(slots=True, eq=False)
class Ground:
    """Cells with the leaps among them as a net, and the claws of both conductors on them. Narrow: X in mm.

    The first `facing` leaps cross an opening as drawn; the others stand for what may move and for several in a row.

    `slack` (cells, cells of other solids) mm by which two solids may come nearer than drawn; `loose` the same for each
    conductor. `hold` mm: from how far a conductor takes hold of a surface. `proven`: the leaps are all that a lower
    bound needs; else only those of actual ways.
    """

    cells: list[Cell]
    net: Net
    claws: list[Claw]
    openings: list[Opening | None]
    facing: int
    narrow: float
    hold: float
    sight: Sight
    slack: float = 0.0
    loose: tuple[float, float] = (0.0, 0.0)
    proven: bool = True


def search(
    ground: Ground,
    *,
    enough: float | None = None,
    accuracy: float = 0.005,
    limit: float = math.inf,
    progress: Progress | None = None,
) -> Found:
    """Refine until `high` and `low` are within `accuracy` of each other, or lie on one side of `enough`.

    limit: ways longer than this are not looked for; without a shorter one `low` is the limit. Where the leaps prove
    nothing, one actual way is all that is found, and `low` is 0.
    """
    upper, line, low = math.inf, np.empty((0, 3)), 0.0
    ground.net = ground.net.finer(_first_size(ground))
    steps, gaps, gave_up = 0, list[float](), True
    for number in range(1, ROUNDS + 1):
        if progress:
            progress(f"round {number}")
        found = _Round(ground)
        steps += found.count
        length, way = found.way()
        if length < upper:
            upper, line = length, way
        if not ground.proven:
            gave_up = enough is None or upper >= enough
            break
        highest = min(upper, limit)
        if not math.isfinite(highest):
            highest = found.anything()
        # Where the way is too short already, the bound decides nothing any more: it need not be the best.
        rises, share = found.potentials(highest, HASTY if enough is not None and upper < enough else PATIENT)
        low = max(low, min(rises[0][found.end], rises[1][found.start], highest))
        short = enough is not None and upper < enough and (number > 1 or found.count > MOST_TWICE)
        if short or (enough is not None and low >= enough) or low >= min(upper * (1.0 - accuracy), limit):
            gave_up = False
            break
        gaps.append(highest - low)
        gave_up = enough is None or upper >= enough
        if found.count > MOST_STEPS or _is_stale(gaps, known=math.isfinite(upper)):
            break
        worth = found.worth(rises, highest)
        if not worth.any():
            break
        # Where only few segments are too long, all others stay as they are; unless that has not helped.
        all_of_them = len(gaps) > 1 and gaps[-1] > SLOW_SHARE * gaps[-2]
        bent = np.ones(len(worth), dtype=bool) if all_of_them else found.bent(share, 1.0 - accuracy / 3.0)
        ground.net = ground.net.kept(worth).halved(bent[worth])
        ground.net = _near(ground, ground.net, highest)
    return Found(min(low, upper), upper, line, steps, number, gave_up)


def _is_stale(gaps: Sequence[float], *, known: bool) -> bool:
    """Whether more rounds would not bring the bounds together; sooner where no way is known that they could meet at."""
    if not known and len(gaps) > 1 and gaps[-1] > SLOW_SHARE * gaps[-2]:
        return True
    return len(gaps) > STALE and gaps[-1] > STALE_SHARE * gaps[-1 - STALE]


def _first_size(ground: Ground) -> float:
    ends = [
        np.concatenate([claw.triangles.reshape(-1, 3) for claw in ground.claws if claw.hub == hub]) for hub in (0, 1)
    ]
    apart = np.linalg.norm(ends[0].mean(axis=0) - ends[1].mean(axis=0))
    return max(float(apart) / COARSE, ground.narrow / 2.0, 1e-3)


def _near(ground: Ground, net: Net, highest: float) -> Net:
    """The net without segments through which even straight lines to both conductors are longer than `highest`."""
    points = net.nodes[net.segments].mean(axis=1)
    both = -net.lengths() - ground.slack
    for hub in (0, 1):
        wholes = {id(claw.whole): claw.whole for claw in ground.claws if claw.hub == hub}
        least = np.min([nearest(whole, points)[0] for whole in wholes.values()], axis=0)
        both += np.maximum(least - ground.loose[hub], 0.0)
    return net.kept(both <= highest + 1e-6)


class _Round:
    """One round: every step of the net as it stands."""

    def __init__(self, ground: Ground) -> None:
        self.ground, net = ground, ground.net
        self.start, self.end = len(net.nodes), len(net.nodes) + 1
        one, other, _ = net.walks()
        leap_one, leap_other, leap = net.leaping()
        self.count = len(one) + len(leap_one)
        self.walks, self.leaps, self.leap = (one, other), (leap_one, leap_other), leap
        self.links = links_of(net, ground.cells, ground.claws, ground.hold, ground.loose, ground.sight)
        self.waves = Waves(net.nodes, net.segments, one, other)
        self.slopes = self._slopes() if ground.proven else None

    def _slopes(self) -> Slopes:
        net, (one, other), (leap_one, leap_other) = self.ground.net, self.walks, self.leaps
        return Slopes(
            Moves(
                nodes=net.nodes,
                segments=net.segments,
                one=np.concatenate([one, leap_one]),
                other=np.concatenate([other, leap_other]),
                slack=np.concatenate([np.zeros(len(one)), np.full(len(self.leap), self.ground.slack)]),
                link_node=self.links.node,
                link_hub=self.links.hub,
                link_length=self.links.least,
                hubs=2,
                walks=len(one),
                tapers=self._tapers(),
            ),
            self.waves,
        )

    def _tapers(self) -> list[tuple[Index, Array]]:
        """For the leaps over openings that taper: rows of the moves, and vectors (K, 4, 3) no longer than their ways.

        A way down one wall, over a link no longer than X and up the other saves at most `saved` over going to the very
        line where the walls meet; slants only add to it.
        """
        found, nodes, first = [], self.ground.net.nodes, len(self.walks[0])
        for number in np.unique(self.leap):
            opening = self.ground.openings[number]
            if opening is None:
                continue
            rows = np.flatnonzero(self.leap == number)
            one, other = (nodes[self.ground.net.segments[side[rows]]] for side in self.leaps)
            depth_one = one @ opening.up[0] - opening.apex[0]
            depth_other = other @ opening.up[1] - opening.apex[1]
            vectors = np.zeros((len(rows), 4, 3))
            for k, (a, b) in enumerate(CORNERS):
                vectors[:, k, 0] = depth_one[:, a] + depth_other[:, b] - opening.saved
                vectors[:, k, 1] = (other[:, b] - one[:, a]) @ opening.along
            deep = (vectors[:, :, 0] >= 0.0).all(axis=1)
            found.append((first + rows[deep], vectors[deep]))
        return found

    def way(self) -> tuple[float, Array]:
        """The shortest way that is one: its length and corners."""
        ground = self.ground
        actual = Actual(ground.net, ground.cells, ground.claws, ground.narrow, ground.hold, ground.facing, ground.sight)
        return actual.way(self.walks, (*self.leaps, self.leap), self.links, self.waves)

    def anything(self) -> float:
        """A length that no shortest way exceeds by far, where no way is known yet: all segments one after another."""
        return float(self.ground.net.lengths().sum()) + self.ground.narrow

    def potentials(self, highest: float, turns: int) -> tuple[tuple[Array, Array], Array]:
        """How high the lengths from either conductor rise, and the share that each step counts at least."""
        assert self.slopes is not None  # noqa: S101 (asked for only where the leaps prove a bound)
        one, first = self.slopes.rise_from(self.start, self.end, highest, turns)
        other, second = self.slopes.rise_from(self.end, self.start, highest, turns)
        return (one, other), np.minimum(first, second)

    def worth(self, rises: tuple[Array, Array], highest: float) -> Mask:
        """Segments that a way no longer than `highest` may cross."""
        both = (rises[0] + rises[1])[self.ground.net.segments]
        return np.asarray(both.min(axis=1) <= highest + 1e-6)

    def bent(self, share: Array, enough: float) -> Mask:
        """Segments where the bound loses length because they are long: about steps that count less than `enough`, and
        beside conductors.
        """
        net = self.ground.net
        lengths = net.lengths()
        found = np.zeros(len(net.segments), dtype=bool)
        both = np.column_stack([np.concatenate([self.walks[k], self.leaps[k]]) for k in (0, 1)])[share < enough]
        longer = lengths[both] >= LONG_SHARE * lengths[both].max(axis=1, initial=0.0)[:, None]
        found[both[longer]] = True
        for room in {claw.room for claw in self.ground.claws}:
            found[net.rim(room)] = True
        return found


def ground_of(
    cells: Sequence[Cell],
    pieces: tuple[Sequence[Array], Sequence[Array]],
    narrow: float,
    *,
    hold: float | None = None,
    slack: float = 0.0,
    loose: tuple[float, float] = (0.0, 0.0),
    proven: bool = True,
) -> Ground:
    """Cells, and two conductors as convex pieces of triangles (M, 3, 3), ready to be searched.

    hold: from how far in mm a conductor takes hold of a surface, `narrow` if not said. Cells that hang together in too
    many ways are cut less finely, which loosens the bound; where that does not help, or is not wanted (`proven`), only
    the leaps of actual ways are there.
    """
    held = narrow if hold is None else hold
    closed = slack == 0.0
    linked = cut_at_links(cells, narrow, closed=closed)
    finest = cut_under_claws(linked, pieces, held) if proven else linked
    for parts in (finest, linked, cells) if proven else ():
        facing = leaps_among(parts, narrow, closed=closed)
        try:
            leaps, openings = _all_leaps(parts, facing, narrow, slack)
            break
        except TooFine:
            continue
    else:
        parts, proven = finest, False
        leaps = facing = leaps_among(finest, narrow, closed=closed)
        openings = [None] * len(facing)
    claws = [claw for hub in (0, 1) for claw in claws_of(pieces[hub], hub, parts, held, slack + loose[hub])]
    net = replace(net_of(parts), leaps=leaps)
    return Ground(list(parts), net, claws, openings, len(facing), narrow, held, Sight(parts), slack, loose, proven)


def _all_leaps(parts: Sequence[Cell], facing: Index, narrow: float, slack: float) -> tuple[Index, list[Opening | None]]:
    """Every leap that a way may take in any build, those as drawn first. Raises TooFine."""
    check_size(len(parts), facing)
    direct = facing
    if slack > 0.0:
        moved = leaps_among(parts, narrow, slack, closed=False)
        direct = np.concatenate([facing, moved, near_pairs(parts, slack)])
    _, first = np.unique(direct, axis=0, return_index=True)
    return chained(parts, direct[np.sort(first)], narrow + slack)
