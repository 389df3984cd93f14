"""The 3D view as a piece of a page: markup, style and script, with the drawing library and its licence inlined."""

from __future__ import annotations

import base64
import json
from collections.abc import Mapping
from dataclasses import asdict, dataclass
from importlib import metadata, resources
from typing import Any

import numpy as np

from fitcheck.errors import FitcheckError
from fitcheck.report.model3d.model import Body, Build, Model, Place

_PACKAGE = "jupyter-threejs-sage"
_LIBRARY = "jupyter_threejs_sage/static/r130/three.min.js"
_MEND = "install fitcheck again, with the packages that it names"
_SCRIPTS = ("data", "look", "bodies", "outline", "section", "camera", "overlay", "labels", "parts", "controls", "start")
"""Our own files, in the order in which they are joined into one function."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Fragment:
    """`markup` is one `<section id="model">`; `style` goes into a style element, `script` into a script at the end."""

    markup: str
    style: str
    script: str


def fragment(model: Model) -> Fragment:
    """The view with all that it needs; the same model gives the same bytes.

    Raises FitcheckError where the installed package does not hold the library.
    """
    files = resources.files(__package__)
    own = "\n".join((files / f"{name}.js").read_text(encoding="utf-8") for name in _SCRIPTS)
    library, licence = _library()
    return Fragment(
        markup=(files / "view.html").read_text(encoding="utf-8").replace("{{data}}", as_json(model)),
        style=(files / "view.css").read_text(encoding="utf-8"),
        script=f"/*\n{licence}\n*/\n{library}\n(function () {{\n'use strict';\n{own}\n}})();\n",
    )


def as_json(model: Model) -> str:
    """The model for the script, safe inside a script element: no "<" is left in it."""
    data: dict[str, Any] = {
        "bodies": [_body(each) for each in model.bodies],
        "parts": [asdict(part) for part in model.parts],
        "builds": [_build(build) for build in model.builds],
        "told": [asdict(told) for told in model.told],
        "steps": list(model.steps),
        "directions": dict(model.directions),
        "faces": [list(words) for words in model.faces],
        "says": list(model.says),
    }
    text = json.dumps(data, ensure_ascii=False, separators=(",", ":"), allow_nan=False)
    for sign in "<>&\u2028\u2029":
        text = text.replace(sign, f"\\u{ord(sign):04x}")
    return text


def _body(body: Body) -> Mapping[str, Any]:
    wide = len(body.corners) > np.iinfo(np.uint16).max
    index = "<u4" if wide else "<u2"
    return {
        "corners": _packed(body.corners, "<u2"),
        "faces": _packed(body.faces, index),
        "edges": _packed(body.edges, index),
        "wide": wide,
        "size": [round(side, 4) for side in body.size],
        "closed": body.closed,
    }


def _packed(numbers: np.ndarray[Any, Any], kind: str) -> str:
    return base64.b64encode(np.ascontiguousarray(numbers, kind).tobytes()).decode("ascii")


def _build(build: Build) -> Mapping[str, Any]:
    def flat(places: tuple[Place, ...]) -> list[list[float]]:
        return [[place.part, place.body, *place.low] for place in places]

    return {"key": build.key, "title": build.title, "places": flat(build.places), "aged": flat(build.aged)}


def _library() -> tuple[str, str]:
    """(the library's one file, its licence), as the installed package carries them."""
    package = metadata.distribution(_PACKAGE)
    files = package.files or ()
    library = next((file for file in files if file.as_posix() == _LIBRARY), None)
    licence = next((file for file in files if file.name.upper().startswith("LICENSE")), None)
    if library is None or licence is None:
        raise FitcheckError(f"{_PACKAGE} {package.version} does not hold {_LIBRARY} and its licence: {_MEND}")
    text = library.read_text(encoding="utf-8")
    if "</script" in text.lower() or "<!--" in text:
        raise FitcheckError(f"{_PACKAGE} {package.version} cannot be put inside a page as it is: {_MEND}")
    return text, licence.read_text(encoding="utf-8").replace("*/", "* /")
