"""Laws of a whole layout: however the same thing is written, wherever it stands and whichever way it points."""

from __future__ import annotations

import re
from dataclasses import replace
from itertools import combinations
from pathlib import Path
from random import Random

import pytest
import trimesh
from engine_layouts import BEGINNING, layout, measured, study

from fitcheck.findings import Finding
from fitcheck.model.layout import Layout
from fitcheck.model.part import Build
from fitcheck.run import geometric
from fitcheck.study import Study

WORKSHOP = """
axes: {x: rearward, y: right, z: up}
parts:
  case:
    {role: enclosure, change: retained, inside_low_corner: [0, 0, 0],
     shape: {tray: {inside: [450 ± 2, 300 ± 1, 90], wall: 2, floor: 2.5, lip: {width: 10, thickness: 2}}}}
  pad:
    {role: spacer, change: new, shape: {box: [200, 150, 8 ± 0.2]},
     place: {front: 22 clear of case inside front, left: 19 clear of case inside left, bottom: on case floor}}
  m1:
    {role: module, change: new, shape: {box: [210 ± 0.5, 168 ± 0.3, 60 ± 0.5]}, grows: {y: 2 %},
     place: {front: 12 ± 1 clear of case inside front, left: 10 clear of case inside left, bottom: on pad}}
  m2: {like: m1, place: {front: 3.2 ± 0.4 clear of m1 rear}}
  column:
    {role: column, change: retained, shape: {cylinder: {diameter: 18 ± 0.3, length: 80, along: z}},
     place: {front: 200 clear of case inside front, left: 4 ± 0.5 clear of m1 right, bottom: on case floor}}
  angle:
    {role: bracket, change: new,
     shape: {prism: {outline: [[0, 0], [40, 0], [40, 5], [5, 5], [5, 30], [0, 30]], height: 25 ± 0.4, along: y}},
     place: {front: 30 clear of case inside front, left: 3 ± 0.5 clear of m1 right, bottom: on case floor}}
gaps:
  - {between: [every module, every module], at_least: 3}
  - {between: [every module, anything], at_least: 4}
  - {between: [column, anything], at_least: 2}
concessions:
  - {check: gap, parts: [m1, m2], down_to: 2.5, because: measured twice, signed: ab, date: 2026-03-02}
"""

Told = dict[tuple[str, frozenset[str], str], tuple[object, ...]]


def told(findings: list[Finding], *, names: dict[str, str] | None = None) -> Told:
    """(status, value, low, high, rss low, rss high, required) of every finding, by check, parts and state."""
    names = names or {}
    found: Told = {}
    for finding in findings:
        band = finding.band
        figures = () if band is None else (band.value, band.low, band.high, band.rss_low, band.rss_high)
        key = (finding.check, frozenset(names.get(name, name) for name in finding.parts), finding.state)
        found[key] = (finding.status, *figures, finding.required)
    return found


def findings_of(placed: Study) -> list[Finding]:
    return geometric(placed, Build.PROPOSED)


def same(one: Told, other: Told, tolerance: float = 1e-6) -> None:
    assert set(one) == set(other)
    for key, figures in one.items():
        assert figures[0] == other[key][0], key
        assert figures[1:] == pytest.approx(other[key][1:], abs=tolerance), key


@pytest.fixture(scope="module")
def reference() -> Told:
    found = told(findings_of(study(WORKSHOP)))
    assert len(found) >= 20
    return found


def test_moving_the_whole_assembly(reference: Told) -> None:
    moved = WORKSHOP.replace("inside_low_corner: [0, 0, 0]", "inside_low_corner: [1234.5, -678.25, 91.125]")
    same(told(findings_of(study(moved))), reference)


@pytest.mark.parametrize(
    ("axes", "order"),
    [
        ("{x: right, y: up, z: rearward}", (1, 2, 0)),
        ("{x: up, y: rearward, z: right}", (2, 0, 1)),
        ("{x: forward, y: left, z: up}", (0, 1, 2)),
        ("{x: forward, y: right, z: down}", (0, 1, 2)),
    ],
)
def test_turning_the_whole_assembly(axes: str, order: tuple[int, int, int]) -> None:
    """The same boxes seen in other case axes; every word of `place` speaks of the vehicle and stays."""
    boxes = re.sub(r"  (column|angle):\n(    .*\n)+", "", WORKSHOP)
    boxes = boxes.replace("  - {between: [column, anything], at_least: 2}\n", "")
    boxes = re.sub(r"shape: \{tray: .*\}\}\}\}", "shape: {box: [450 ± 2, 300 ± 1, 2.5]}}", boxes)
    boxes = boxes.replace("inside_low_corner", "low_corner").replace("clear of case inside", "short of case")
    boxes = boxes.replace("on case floor", "on case")

    def turned(found: re.Match[str]) -> str:
        sizes = found[1].split(", ")
        return "box: [" + ", ".join(sizes[k] for k in order) + "]"

    def grows(found: re.Match[str]) -> str:
        return "grows: {" + "xyz"[order.index(1)] + ":"

    other = re.sub(r"box: \[([^\]]*)\]", turned, boxes)
    other = re.sub(r"grows: \{y:", grows, other).replace("{x: rearward, y: right, z: up}", axes)
    same(told(findings_of(study(other))), told(findings_of(study(boxes))))


def reordered(written: Layout, seed: int) -> Layout:
    parts = list(written.parts)
    Random(seed).shuffle(parts)  # noqa: S311 (no secret)
    return replace(written, parts=tuple(parts))


@pytest.mark.parametrize("seed", range(3))
def test_the_order_of_the_parts_does_not_matter(reference: Told, seed: int) -> None:
    same(told(findings_of(study(reordered(layout(WORKSHOP), seed)))), reference)


def test_the_names_of_the_parts_do_not_matter(reference: Told) -> None:
    names = {"case": "trough", "pad": "z9", "m1": "first module", "m2": "second-module", "column": "a", "angle": "B b"}
    text = WORKSHOP
    for old, new in names.items():
        quoted = f'"{new}"'
        text = re.sub(rf"^  {old}:", f"  {quoted}:", text, flags=re.MULTILINE)
        text = re.sub(rf"(of|on|against|with|like:) {old}\b", rf"\1 '{new}'", text)
        text = re.sub(rf"\[{old}, ", f"[{quoted}, ", text)
        text = re.sub(rf", {old}\]", f", {quoted}]", text)
    back = {new: old for old, new in names.items()}
    same(told(findings_of(study(text)), names=back), reference)


def in_inches(text: str) -> str:
    """Every length of the parts and rules in inches; growth, dates and the format version stay."""

    def inches(found: re.Match[str]) -> str:
        return f"{float(found[0]) / 25.4:.15g}"

    lines = []
    for line in text.splitlines():
        if line.startswith(("axes", "  - {check")):
            lines.append(line.replace("down_to: 2.5", f"down_to: {2.5 / 25.4:.15g}"))
            continue
        kept = re.split(r"(grows: \{y: 2 %\}|m[12]\b)", line)
        kept[::2] = [re.sub(r"(?<![\w.])\d+(?:\.\d+)?", inches, part) for part in kept[::2]]
        lines.append("".join(kept))
    return "units: {length: in}\n" + "\n".join(lines) + "\nlist_within: " + f"{25 / 25.4:.15g}\n"


def test_the_same_layout_in_inches(reference: Told) -> None:
    same(told(findings_of(study(in_inches(WORKSHOP)))), reference)


def test_swapping_the_pair() -> None:
    written = layout(WORKSHOP)
    swapped = replace(written, parts=written.parts[::-1])
    names = [part.name for part in written.parts]
    one, other = study(written), study(swapped)
    for first, second in combinations(names, 2):
        for state in one.states:
            here, there = measured(one, first, second, state), measured(other, second, first, state)
            assert (here.band.value, here.band.low) == pytest.approx((there.band.value, there.band.low), abs=1e-6)
            assert here.band.high == pytest.approx(there.band.high, abs=1e-6)


FORMS = {
    "box": "{box: [60 ± 0, 40 ± 0, 30 ± 0]}",
    "prism": "{prism: {outline: [[0, 0], [60, 0], [60, 40], [0, 40]], height: 30, along: z}}",
    "prism along x": "{prism: {outline: [[0, 0], [40, 0], [40, 30], [0, 30]], height: 60, along: x}}",
    "prism along y, other way round": "{prism: {outline: [[5, 5], [5, 35], [65, 35], [65, 5]], height: 40, along: y}}",
    "mesh": "{mesh: {file: block.stl, unit: mm}}",
    "group": "{group: [{shape: {box: [30, 40, 30]}, low_corner: [0, 0, 0]},"
    " {shape: {box: [30, 40, 30]}, low_corner: [30, 0, 0]}]}",
}
BESIDE = """
parts:
  block: {{role: module, change: new, turn: {turn}, shape: {shape}, low_corner: [1 ± 0.3, 2, 3]}}
  box:
    {{role: bracket, change: new, shape: {{box: [50 ± 0.5, 30, 20]}},
     place: {{front: 3 ± 0.5 clear of block rear, left: 2 ± 1 clear of block right, bottom: 5 short of block}}}}
  bar:
    {{role: column, change: new, shape: {{cylinder: {{diameter: 12, length: 80, along: y}}}},
     place: {{rear: 4 ± 0.5 clear of block front, left: flush with block, bottom: 10 short of block}}}}
"""


@pytest.mark.parametrize("turn", ["{z: 0}", "{z: 90}", "[{z: 33}, {x: 10}]"])
@pytest.mark.parametrize("form", [form for form in FORMS if form != "box"])
def test_a_box_its_prism_its_group_and_its_mesh_file(form: str, turn: str, tmp_path: Path) -> None:
    trimesh.creation.box([60, 40, 30]).export(tmp_path / "block.stl")
    exactly = study(BESIDE.format(turn=turn, shape=FORMS["box"]))
    otherwise = study(BESIDE.format(turn=turn, shape=FORMS[form]), tmp_path)
    for other in ("box", "bar"):
        truth, found = (measured(placed, "block", other, BEGINNING) for placed in (exactly, otherwise))
        facets = found.error + 1e-5  # STL files hold single precision
        assert truth.band.value - facets <= found.band.value <= truth.band.value + 1e-5
        assert truth.band.low - 0.3 - facets <= found.band.low <= truth.band.low + 1e-5
        assert found.band.high >= truth.band.high - 1e-5
        if form != "mesh":
            assert found.band.low == pytest.approx(truth.band.low, abs=1e-6)
            assert found.band.value == pytest.approx(truth.band.value, abs=1e-6)
