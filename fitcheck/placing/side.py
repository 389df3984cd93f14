"""One side of a pair that is measured on triangles, at the detail that the pair needs.

Small pieces are kept whole. Of a large mesh only the triangles near the other side are taken: those that can decide the
distance, so that the answer is that of the whole mesh.
"""

from __future__ import annotations

import weakref
from collections.abc import Sequence
from dataclasses import dataclass
from functools import cached_property
from itertools import product
from typing import TYPE_CHECKING

import numpy as np
from numpy.typing import NDArray

from fitcheck.geometry import mesh_blocks
from fitcheck.geometry.facets import FacetTree
from fitcheck.geometry.inside_mesh import points_inside, winding_numbers
from fitcheck.geometry.intersect import body_as_wound, body_of
from fitcheck.geometry.mesh_blocks import SEEDS, Blocks, Boxes, boxes_of
from fitcheck.geometry.meshfile import MeshModel
from fitcheck.placing.clip import without_regions
from fitcheck.placing.contacts import Region
from fitcheck.placing.facets import Faces, Facets, facets_of
from fitcheck.placing.local import MeshSolid
from fitcheck.placing.placed import Array, Columns, Placed

if TYPE_CHECKING:
    from manifold3d import Manifold

STILL_POSE = (np.eye(3), np.zeros(3))

MOST_TESTED = 4000
"""Corners tested for being inside the other part; evenly chosen."""

_trees: weakref.WeakKeyDictionary[MeshModel, FacetTree] = weakref.WeakKeyDictionary()
_blocks: weakref.WeakKeyDictionary[MeshModel, Blocks] = weakref.WeakKeyDictionary()


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class Detail:
    """What is kept of a side: facets in case axes, contacts left out, and the tree of the same triangles."""

    facets: Facets
    tree: FacetTree
    pose: tuple[Array, Array]

    @property
    def boxes(self) -> Boxes:
        return boxes_of(self.tree, self.pose)


def side_of(piece: Placed, columns: Columns, regions: tuple[Region, ...]) -> SmallSide | LargeSide:
    """`regions` are what contacts leave out of its distance, never of its overlap."""
    solid = piece.solid
    if isinstance(solid, MeshSolid) and len(solid.model.faces) >= mesh_blocks.LARGE:
        return LargeSide(piece, solid, columns, regions)
    return SmallSide(piece, columns, regions)


def is_closed(piece: Placed) -> bool:
    return not isinstance(piece.solid, MeshSolid) or piece.solid.model.solid_faces is not None


@dataclass(frozen=True)
class SmallSide:
    piece: Placed
    columns: Columns
    regions: tuple[Region, ...]

    @cached_property
    def whole(self) -> Facets:
        return facets_of(self.piece, self.columns)

    @property
    def moves(self) -> Array:
        return self._left.moves

    @property
    def error(self) -> float:
        return self.whole.error

    @cached_property
    def _left(self) -> Facets:
        return without_regions(self.whole, self.regions)

    @property
    def is_empty(self) -> bool:
        return not len(self._left.faces)

    @cached_property
    def box(self) -> tuple[Array, Array]:
        """Low and high corner of what contacts leave."""
        return self._left.vertices.min(axis=0), self._left.vertices.max(axis=0)

    def moved_box(self, slack: Array) -> tuple[Array, Array]:
        """The box over all displacements of the corners, (V, 2, 3)."""
        vertices = self._left.vertices
        return (vertices + slack[:, 0]).min(axis=0), (vertices + slack[:, 1]).max(axis=0)

    @cached_property
    def whole_box(self) -> tuple[Array, Array]:
        return self.whole.vertices.min(axis=0), self.whole.vertices.max(axis=0)

    @cached_property
    def few(self) -> Boxes:
        return self._detail.boxes

    @cached_property
    def _detail(self) -> Detail:
        """One tree serves every part made of one mesh file."""
        solid = self.piece.solid
        if self.regions or not isinstance(solid, MeshSolid) or solid.vertices is not solid.model.vertices:
            return Detail(facets=self._left, tree=FacetTree(self._left.vertices, self._left.faces), pose=STILL_POSE)
        if solid.model not in _trees:
            _trees[solid.model] = FacetTree(solid.model.vertices, self._left.faces)
        return Detail(facets=self._left, tree=_trees[solid.model], pose=pose_of(self.piece))

    def near(self, others: Boxes, reach: float) -> Detail:
        return self._detail

    def nearest(self, others: Boxes) -> Detail:
        return self._detail

    def within(self, low: Array, high: Array) -> Facets:
        return self.whole

    def corners(self, kept: Facets) -> Array:
        """Points that tell whether it is inside another: its corners."""
        return self.whole.vertices

    def inside(self, points: Array) -> NDArray[np.bool_]:
        return points_inside(self.whole.vertices, self.whole.faces, points)

    def body(self, middle: Array, low: Array, high: Array) -> Manifold | None:
        """The piece as a body about `middle`, right within a box at least; None where it is not closed."""
        return body_of((self.whole.vertices, self.whole.faces), middle)

    def turns(self, points: Array, against: Sequence[float]) -> Array:
        """How often its surface goes round each point, exact enough to tell it from the figures in `against`."""
        return winding_numbers(self.whole.vertices, self.whole.faces, points)


@dataclass(frozen=True)
class LargeSide:
    """A large mesh. Nothing of its size is kept for the pair; its blocks serve every part made of the file."""

    piece: Placed
    solid: MeshSolid
    columns: Columns
    regions: tuple[Region, ...]
    error: float = 0.0

    @cached_property
    def moves(self) -> Array:
        """(1, P, 3): all its corners move alike."""
        gradient: Array = self.columns.gradient(self.piece.centre)
        return gradient[None, :, :]

    @cached_property
    def _blocks(self) -> Blocks:
        model, vertices = self.solid.model, self.solid.vertices
        faces = model.faces if model.solid_faces is None else model.solid_faces
        if vertices is not model.vertices:
            return Blocks(vertices, faces)
        if model not in _blocks:
            _blocks[model] = Blocks(vertices, faces)
        return _blocks[model]

    @cached_property
    def _pose(self) -> tuple[Array, Array]:
        return pose_of(self.piece)

    @cached_property
    def box(self) -> tuple[Array, Array]:
        """Low and high corner; contacts are taken to leave all of it."""
        turn, shift = self._pose
        ends = [(float(along.min()), float(along.max())) for along in (self._blocks.vertices @ row for row in turn)]
        return np.array([low for low, _ in ends]) + shift, np.array([high for _, high in ends]) + shift

    def moved_box(self, slack: Array) -> tuple[Array, Array]:
        low, high = self.box
        return low + slack[0, 0], high + slack[0, 1]

    @property
    def whole_box(self) -> tuple[Array, Array]:
        return self.box

    @cached_property
    def few(self) -> Boxes:
        return self._blocks.few(self._pose)

    @property
    def whole(self) -> Facets:
        """All of it, made anew each time."""
        return facets_of(self.piece, self.columns)

    @cached_property
    def is_empty(self) -> bool:
        return not len(self.nearest(self.few).facets.faces)

    def near(self, others: Boxes, reach: float) -> Detail:
        """What may come within `reach` of the other boxes."""
        return self._detail(self._blocks.near(self._pose, others, reach))

    def nearest(self, others: Boxes) -> Detail:
        """A few triangles near the other boxes, enough that contacts leave some of them if they leave any at all."""
        count, most = SEEDS, len(self._blocks.low)
        while True:
            detail = self._detail(self._blocks.nearest(self._pose, others, count))
            if len(detail.facets.faces) or count >= most:
                return detail
            count *= 8

    def within(self, low: Array, high: Array) -> Facets:
        """What may come within a box."""
        return self._facets(self._blocks.near(self._pose, (low[None, :], high[None, :]), 0.0))

    def corners(self, kept: Facets) -> Array:
        """A corner of each body, and those kept near the other part.

        Where surfaces do not meet, each body lies wholly inside or wholly outside another part.
        """
        turn, shift = self._pose
        of_bodies = self._blocks.vertices[self._blocks.body_corners] @ turn.T + shift
        return np.concatenate([of_bodies, kept.vertices[:: 1 + 2 * len(kept.vertices) // MOST_TESTED]])

    def inside(self, points: Array) -> NDArray[np.bool_]:
        return self._blocks.inside(self._pose, points)

    def body(self, middle: Array, low: Array, high: Array) -> Manifold | None:
        """The mesh, which is closed, as a body that is right within a box; all of it where that cannot be made."""
        turn, shift = self._pose
        ends = (np.array(list(product(*zip(low, high, strict=True)))) - shift) @ turn
        vertices, faces = self._blocks.around(ends.min(axis=0), ends.max(axis=0))
        body = body_as_wound((vertices @ turn.T + shift, faces), middle)
        if body is not None:
            return body
        whole = self.whole
        return body_of((whole.vertices, whole.faces), middle)

    def turns(self, points: Array, against: Sequence[float]) -> Array:
        return self._blocks.turns(self._pose, points, against)

    def _facets(self, rows: Faces) -> Facets:
        used, corners = np.unique(self._blocks.faces[rows], return_inverse=True)
        turn, shift = self._pose
        return Facets(
            vertices=self._blocks.vertices[used] @ turn.T + shift,
            moves=np.broadcast_to(self.moves, (len(used), *self.moves.shape[1:])),
            faces=corners.reshape(-1, 3).astype(np.int64),
        )

    def _detail(self, rows: Faces) -> Detail:
        facets = self._facets(rows)
        if not self.regions and len(rows):
            used = np.unique(self._blocks.faces[rows])
            tree = FacetTree(self._blocks.vertices[used], facets.faces)
            return Detail(facets=facets, tree=tree, pose=self._pose)
        left = without_regions(facets, self.regions)
        # A tree needs a triangle: where contacts leave none, nothing is measured on it.
        shown = left if len(left.faces) else facets
        return Detail(facets=left, tree=FacetTree(shown.vertices, shown.faces), pose=STILL_POSE)


Side = SmallSide | LargeSide


def pose_of(piece: Placed) -> tuple[Array, Array]:
    return np.array(piece.rotation), np.array([form.nominal for form in piece.centre])


def holds(outer: Side, inner: Side, kept: Facets, shift: Array) -> bool:
    """Whether any corner of the inner side, moved by `shift`, lies inside a closed outer one."""
    if not is_closed(outer.piece):
        return False
    low, high = outer.whole_box
    points = inner.corners(kept) + shift
    within = points[((points > low) & (points < high)).all(axis=1)]
    if not len(within):
        return False
    return bool(outer.inside(within[:: max(1, len(within) // MOST_TESTED)]).any())
