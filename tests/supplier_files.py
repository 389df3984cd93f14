"""The writer of STEP files that the scenarios use, for tests too: nothing of the readers is in it."""

from __future__ import annotations

import importlib.util
import sys
from pathlib import Path

DEMO = Path(__file__).parents[1] / "demo_geometry"


def script(name: str):
    """A script of demo_geometry as a module."""
    if name not in sys.modules:
        spec = importlib.util.spec_from_file_location(name, DEMO / f"{name}.py")
        module = importlib.util.module_from_spec(spec)
        sys.modules[name] = module  # dataclasses look themselves up there
        spec.loader.exec_module(module)
    return sys.modules[name]


writer = script("step_writer")
Part, Place, Solid, block, step = writer.Part, writer.Place, writer.Solid, writer.block, writer.step
