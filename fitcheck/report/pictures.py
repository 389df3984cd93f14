"""All pictures of one result: three views of the build, a section through the tightest gap of each kind, and one that
holds each electrical path that decides."""

from __future__ import annotations

from collections.abc import Callable

from fitcheck.report import path_view, section_view, sheet, views
from fitcheck.report.scene import Scene
from fitcheck.result import Result


def render(scene: Scene, result: Result, progress: Callable[[str], None] | None = None) -> dict[str, bytes]:
    """File name to file content, PNG and SVG of each; equal input gives equal bytes. A scene without parts gives none.

    `progress` is told the name of each sheet before it is drawn.
    """
    files: dict[str, bytes] = {}
    if not scene.parts:
        return files
    for sheets in (views.sheets(scene), section_view.sheets(scene, result), path_view.sheets(scene, result)):
        for name, figure in sheets:
            if progress is not None:
                progress(f"drawing {name}")
            files |= {f"{name}.{kind}": content for kind, content in sheet.save(figure).items()}
    return files
