"""The shape of the program: which layer imports which, what is documented, how large modules are."""

from __future__ import annotations

import ast
import importlib
import pkgutil
from pathlib import Path

import pytest

import fitcheck
from fitcheck import checks
from fitcheck.checks.pages import PAGES
from fitcheck.cli.parser import VERBS

ROOT = Path(fitcheck.__file__).parent

MAY_IMPORT = {
    "errors": "",
    "sources": "",
    "units": "errors",
    "model": "errors sources",
    "findings": "errors sources model",
    "result": "errors sources model findings",
    "standards": "errors sources",
    "layoutfile": "errors sources units standards model geometry",
    "geometry": "errors",
    "placing": "errors sources model geometry findings",
    "study": "errors sources model geometry findings placing",
    "weights": "errors sources standards model geometry findings result placing study",
    "vehicle": "errors sources standards model geometry findings result placing study weights",
    "stack": "errors sources standards model geometry findings result placing study",
    "checks": "errors sources units standards model geometry findings result placing study weights vehicle stack",
    "scene": "findings",
    "makeable": "errors sources standards model geometry findings result placing scene",
    "drawn": "errors sources standards model geometry findings placing study checks scene",
    "run": "errors sources units standards model layoutfile geometry findings result placing study weights checks "
    "scene drawn vehicle stack",
    "report": "errors sources units model findings result scene makeable",
    "cli": "errors sources units model findings result geometry layoutfile checks run report scene",
    "__main__": "errors cli",
    "": "errors sources units model findings result run",
}
"""Layer -> layers that it may import, besides itself and the package's own name. Nothing points up."""

OWN_LAYER = {
    "fitcheck.report.scene": "scene",
    "fitcheck.solved_heights": "run",
    "fitcheck.run_study": "run",
    "fitcheck.result_heights": "result",
    "fitcheck.result_study": "result",
}
"""What there is to draw is filled by `run` and drawn by `report`, so it lies below both."""

HEAVY = {"numpy", "trimesh", "pint", "matplotlib", "pydantic", "shapely", "scipy", "manifold3d", "networkx", "yaml"}

HEADINGS = ("What it checks", "Why it matters", "How it is measured", "Example", "How to mend", "Source")

MOST_LINES = 400


def modules() -> list[Path]:
    return sorted(ROOT.rglob("*.py"))


def layer_of(dotted: str) -> str:
    if dotted in OWN_LAYER:
        return OWN_LAYER[dotted]
    parts = dotted.split(".")
    return parts[1] if len(parts) > 1 and parts[1] != "__init__" else ""


def dotted(path: Path) -> str:
    return ".".join(path.relative_to(ROOT.parent).with_suffix("").parts)


def imports(tree: ast.AST) -> list[str]:
    found = []
    for node in ast.walk(tree):
        if isinstance(node, ast.Import):
            found += [alias.name for alias in node.names]
        elif isinstance(node, ast.ImportFrom):
            assert node.level == 0, "imports are absolute"
            name = node.module or ""
            found += [f"{name}.{alias.name}" for alias in node.names] if name == "fitcheck" else [name]
    return found


@pytest.mark.parametrize("path", modules(), ids=dotted)
def test_imports_point_down(path):
    layer = layer_of(dotted(path))
    allowed = {layer, "", *MAY_IMPORT[layer].split()}
    names = imports(ast.parse(path.read_text(encoding="utf-8")))
    used = {layer_of(name) for name in names if name.partition(".")[0] == "fitcheck"} - {"__version__"}
    assert used <= allowed, f"{dotted(path)} imports upward"


def test_the_layers_have_no_circle():
    for layer, below in MAY_IMPORT.items():
        for lower in below.split():
            assert layer not in MAY_IMPORT[lower].split(), f"{layer} and {lower} import each other"


@pytest.mark.parametrize("path", [ROOT / "__init__.py", ROOT / "__main__.py", *sorted((ROOT / "cli").glob("*.py"))])
def test_nothing_heavy_at_the_top_of_what_the_help_needs(path):
    tree = ast.parse(path.read_text(encoding="utf-8"))
    top = [node for node in tree.body if isinstance(node, ast.Import | ast.ImportFrom)]
    assert not {name.partition(".")[0] for node in top for name in imports(node)} & HEAVY


@pytest.mark.parametrize("path", modules(), ids=dotted)
def test_modules_stay_of_a_size_to_be_read(path):
    assert len(path.read_text(encoding="utf-8").splitlines()) <= MOST_LINES


@pytest.mark.parametrize("path", modules(), ids=dotted)
def test_every_module_says_what_it_is(path):
    text = path.read_text(encoding="utf-8")
    assert not text or ast.get_docstring(ast.parse(text)), "a module opens with what it is for"


def check_modules() -> list[str]:
    """The modules of `checks` that are checks: those with a NAME."""
    found = [importlib.import_module(f"fitcheck.checks.{each.name}") for each in pkgutil.iter_modules(checks.__path__)]
    return [module.__name__ for module in found if hasattr(module, "NAME")]


def test_every_check_has_its_page():
    names = {importlib.import_module(name).NAME for name in check_modules()}
    assert {"gap", "overlap", "containment"} <= names
    assert names == set(PAGES)


@pytest.mark.parametrize("name", sorted(PAGES))
def test_a_page_has_all_its_headings_in_order(name):
    lines = PAGES[name].splitlines()
    places = [lines.index(heading) for heading in HEADINGS]
    assert places == sorted(places)
    for place in places:
        assert lines[place + 1].strip(), f"nothing stands under {lines[place]}"


@pytest.mark.parametrize("document", ["README.md"])
def test_every_verb_is_documented(document):
    text = (ROOT.parent / document).read_text(encoding="utf-8")
    verbs = [module.__name__.rpartition(".")[2] for module in VERBS]
    assert [verb for verb in verbs if f"fitcheck {verb}" not in text] == []
