"""Meshes so large that no part is moved about in them by trial: each trial would take seconds."""

from __future__ import annotations

from fitcheck.model.part import Part
from fitcheck.model.shape import meshes_of
from fitcheck.study import Study

VAST_TRIANGLES = 1_000_000


def is_vast(study: Study, *parts: Part) -> bool:
    """Whether one of the parts holds a mesh of that many triangles."""
    meshes = (mesh for part in parts for mesh in meshes_of(part.shape))
    return any(len(study.meshes(mesh).faces) >= VAST_TRIANGLES for mesh in meshes)
