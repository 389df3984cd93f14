"""What the numbers of a report were worked out with: Python, and the libraries that decide numbers."""

from __future__ import annotations

import platform
from collections.abc import Mapping
from functools import cache
from importlib.metadata import PackageNotFoundError, version
from types import MappingProxyType

DECIDING = (
    "numpy",
    "scipy",
    "shapely",
    "manifold3d",
    "trimesh",
    "ezdxf",
    "cadquery-ocp-novtk",
    "cascadio",
    "pint",
    "PyYAML",
)
"""What measures, solves, and reads sizes out of files; what only draws and writes is left out."""


@cache
def environment() -> Mapping[str, str]:
    """Name to version, Python first; a library that is not installed is left out. None of them is loaded for it."""
    found = {"Python": platform.python_version()}
    for name in DECIDING:
        try:
            found[name] = version(name)
        except PackageNotFoundError:
            continue
    return MappingProxyType(found)


def in_words() -> str:
    """ "Python 3.12.3, numpy 2.1.0, ..."."""
    return ", ".join(f"{name} {which}" for name, which in environment().items())
