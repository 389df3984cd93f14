"""What a report says it was worked out with."""

from __future__ import annotations

import json
import platform
import subprocess
import sys
from importlib.metadata import PackageNotFoundError, version

import numpy as np
import pytest
from made_up import result

from fitcheck.report import as_json, environment


def test_the_versions_are_those_that_run():
    found = environment.environment()
    assert next(iter(found.items())) == ("Python", platform.python_version())
    assert found["numpy"] == np.__version__
    assert {"numpy", "scipy", "shapely", "manifold3d", "trimesh", "ezdxf", "pint", "PyYAML"} <= set(found)


def test_a_library_that_is_not_there_is_left_out(monkeypatch):
    def without_cascadio(name):
        if name == "cascadio":
            raise PackageNotFoundError(name)
        return version(name)

    environment.environment.cache_clear()
    monkeypatch.setattr(environment, "version", without_cascadio)
    try:
        assert "cascadio" not in environment.environment()
        assert "numpy" in environment.environment()
    finally:
        environment.environment.cache_clear()


def test_none_of_them_is_loaded_to_tell_its_version():
    code = (
        "import sys; from fitcheck.report.environment import environment; environment(); "
        "print([name for name in ('numpy', 'trimesh', 'shapely', 'manifold3d', 'ezdxf') if name in sys.modules])"
    )
    said = subprocess.run([sys.executable, "-c", code], capture_output=True, text=True, check=True).stdout
    assert said == "[]\n"


def test_the_result_file_names_them():
    told = json.loads(as_json.render(result()))
    assert told["made_with"] == dict(environment.environment())


def test_in_words():
    assert environment.in_words().startswith(f"Python {platform.python_version()}, numpy {np.__version__}, ")
    with pytest.raises(TypeError):
        environment.environment()["numpy"] = "0"
