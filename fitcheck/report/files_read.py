"""The mesh, STEP and DXF files that a layout names, each with its fingerprint."""

from __future__ import annotations

import hashlib
from collections.abc import Iterator
from dataclasses import dataclass
from pathlib import Path

from fitcheck.model.layout import Layout
from fitcheck.model.shape import drawings_of, meshes_of
from fitcheck.report.wording import listed

GONE = "cannot be read any more"


@dataclass(frozen=True, slots=True, kw_only=True)
class FileRead:
    """`name` as the layout writes it, `parts` whose shape it is; `sha256` of its bytes, or GONE."""

    name: str
    parts: tuple[str, ...]
    sha256: str

    @property
    def words(self) -> str:
        """ "duct.stl, the shape of duct: SHA-256 ..."."""
        said = self.sha256 if self.sha256 == GONE else f"SHA-256 {self.sha256}"
        return f"{self.name}, the shape of {listed(self.parts)}: {said}"


def files_read(layout: Layout) -> tuple[FileRead, ...]:
    """Each file once, in the order of the parts, as it stands now: somebody may have saved it since it was read."""
    parts: dict[tuple[str, Path], list[str]] = {}
    for part in layout.parts:
        for file in dict.fromkeys(_named(layout, part.name)):
            parts.setdefault(file, []).append(part.name)
    return tuple(
        FileRead(name=name, parts=tuple(names), sha256=_fingerprint(path)) for (name, path), names in parts.items()
    )


def _named(layout: Layout, part: str) -> Iterator[tuple[str, Path]]:
    shape = layout.by_name[part].shape
    yield from ((mesh.written, mesh.path) for mesh in meshes_of(shape))
    yield from ((drawn.written, Path(layout.file).parent / drawn.written) for drawn in drawings_of(shape))


def _fingerprint(path: Path) -> str:
    try:
        with path.open("rb") as file:
            return hashlib.file_digest(file, "sha256").hexdigest()
    except OSError:
        return GONE
