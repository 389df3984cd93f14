"""The entities of a DXF drawing with its blocks taken apart."""

from __future__ import annotations

import re
from collections.abc import Iterable, Iterator
from dataclasses import dataclass
from pathlib import Path
from typing import Any

from fitcheck.geometry.meshfile_raw import unusable

DEEPEST = 16


@dataclass(frozen=True, slots=True)
class Drawn:
    """One entity, the layer that it is on, and its kind. `entity` is None where it draws no outline whatever it is:
    hidden, of another file, or of a kind that cannot be moved with its block.
    """

    entity: Any
    layer: str
    kind: str


def drawn(path: Path, space: Iterable[Any], within: str = "0", blocks: tuple[str, ...] = ()) -> Iterator[Drawn]:
    """What lies on layer 0 in a block is on the block's own layer `within`; `blocks` are those around it.

    Raises MeshFileError for a block that is missing, holds itself or lies too deep.
    """
    for entity in space:
        kind, own = str(entity.dxftype()), layer_name(str(_attribute(entity, "layer", "0")))
        layer = within if own == "0" and blocks else own
        if _attribute(entity, "invisible", 0):
            yield Drawn(None, layer, f"{kind} (hidden)")
        elif kind == "INSERT":
            yield from _inserted(path, entity, layer, blocks)
        else:
            yield Drawn(entity, layer, kind)


def _inserted(path: Path, entity: Any, layer: str, blocks: tuple[str, ...]) -> Iterator[Drawn]:
    name, block = str(entity.dxf.get("name", "")), entity.block()
    if block is None:
        raise unusable(path, f"it uses a block {name!r} that it does not hold", "export the drawing with its blocks")
    if block.block.is_xref or block.block.is_xref_overlay:
        yield Drawn(None, layer, "INSERT of another file")
        return
    if name in blocks or len(blocks) >= DEEPEST:
        raise unusable(
            path, f"the block {name!r} holds itself, or blocks lie more than {DEEPEST} deep", "take the blocks apart"
        )
    for each in entity.multi_insert() if entity.mcount > 1 else [entity]:
        skipped: list[str] = []
        whole = each.virtual_entities(
            skipped_entity_callback=lambda one, why, kinds=skipped: kinds.append(one.dxftype())
        )
        yield from drawn(path, whole, layer, (*blocks, name))
        yield from (Drawn(None, layer, kind) for kind in skipped)


def _attribute(entity: Any, name: str, otherwise: Any) -> Any:
    """What is not known to the library has no attributes for it."""
    return entity.dxf.get(name, otherwise) if entity.dxf.is_supported(name) else otherwise


def layer_name(written: str) -> str:
    """A layer's name with the escapes that older files have for letters beyond their character set."""
    return re.sub(r"\\U\+([0-9A-Fa-f]{4})", lambda found: chr(int(found[1], 16)), written)
