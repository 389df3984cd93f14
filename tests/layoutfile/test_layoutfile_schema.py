"""The JSON Schema of a layout: valid, useful in an editor, and of one mind with the reader."""

from __future__ import annotations

import re
from pathlib import Path

import pytest
import yaml
from jsonschema import Draft202012Validator
from written import layout_text, problems, read

from fitcheck.layoutfile.schema import exact_count, known_keys, layout_schema
from fitcheck.model.part import ROLES

SCHEMA = layout_schema()
VALIDATOR = Draft202012Validator(SCHEMA)
DEMOS = Path(__file__).parents[2] / "demo_geometry"
SOUND = sorted(path for path in DEMOS.rglob("*.yaml") if path.parent.name != "90_broken_layouts")

_CORE = (
    (re.compile(r"~|null|Null|NULL|"), lambda _: None),
    (re.compile(r"true|True|TRUE"), lambda _: True),
    (re.compile(r"false|False|FALSE"), lambda _: False),
    (re.compile(r"[-+]?[0-9]+"), int),
    (re.compile(r"[-+]?(\.[0-9]+|[0-9]+(\.[0-9]*)?)([eE][-+]?[0-9]+)?"), float),
)


def as_an_editor_sees(text: str):
    """The data of a YAML text by the core rules of YAML 1.2, with keys as text as JSON has them."""

    def value(node):
        if isinstance(node, yaml.MappingNode):
            return {key.value: value(below) for key, below in node.value}
        if isinstance(node, yaml.SequenceNode):
            return [value(below) for below in node.value]
        if node.style is None:
            for pattern, make in _CORE:
                if pattern.fullmatch(node.value):
                    return make(node.value)
        return node.value

    return value(yaml.compose(text, Loader=yaml.SafeLoader))


def schema_refuses(text: str) -> bool:
    return not VALIDATOR.is_valid(as_an_editor_sees(text))


def test_it_is_a_schema_of_the_stated_dialect():
    Draft202012Validator.check_schema(SCHEMA)
    assert SCHEMA["$schema"] == "https://json-schema.org/draft/2020-12/schema"
    assert SCHEMA["additionalProperties"] is False
    assert SCHEMA["required"] == ["fitcheck", "parts"]


def test_an_editor_can_offer_words_and_explain_them():
    part = SCHEMA["$defs"]["PartSection"]
    assert set(part["properties"]["role"]["enum"]) == set(ROLES)
    assert "taken over axis by axis" in part["description"]
    assert "12 clear of case inside front" in SCHEMA["$defs"]["PlaceSection"]["properties"]["front"]["examples"]
    length = SCHEMA["$defs"]["length_mm_positive"]
    assert length["examples"] == ["12 mm"]
    assert "null" not in str(SCHEMA)


def test_every_mapping_says_what_it_is():
    sections = {name: place for name, place in SCHEMA["$defs"].items() if name.endswith("Section")}
    assert len(sections) > 30
    assert [name for name, place in sections.items() if not place.get("description")] == []


@pytest.mark.parametrize("path", SOUND, ids=[f"{path.parent.name}/{path.name}" for path in SOUND])
def test_every_sound_demo_layout_is_accepted(path):
    assert [error.message for error in VALIDATOR.iter_errors(as_an_editor_sees(path.read_text(encoding="utf-8")))] == []


BOX = "shape: {box: [100, 80, 60]}"
HERE = "low_corner: [0, 0, 0]"
PART = f"  p: {{role: other, change: new, {BOX}, mass: 1, {HERE}}}\n"

GOOD = {
    "plain": PART,
    "inches": PART.replace("100", "4 in"),
    "tolerance": PART.replace("100", "100 +0.5/-0.2 mm"),
    "plus minus": PART.replace("100", "100 +- 2 %"),
    "in full": PART.replace("100", "{value: 100, tolerance: 0.3, unit: mm, known_by: caliper}"),
    "tolerance with signs": PART.replace("100", "{value: 100 mm, tolerance: +0.5/-0.2}"),
    "exponent": PART.replace("100", "1e2"),
    "quoted": PART.replace("100", '"100"'),
    "like": PART + "  q: {like: p}\n",
    "turns": PART.replace("mass", "turn: [{z: 90}, {x: 0.5 rad}], mass"),
    "name that is a number": PART.replace("p:", "12:"),
    "grows": PART.replace("mass", "grows: {z: 2 %}, mass"),
    "cylinder": PART.replace(BOX, "shape: {cylinder: {diameter: 9, length: 9, along: z}}"),
    "prism": PART.replace(BOX, "shape: {prism: {outline: [[-1, 0], [9, 0], [9, 9 ± 1]], height: 9, along: x}}"),
    "group": PART.replace(BOX, "shape: {group: [{shape: {box: [1, 1, 1]}, low_corner: [0, 0, -4]}]}"),
    "inertia": PART.replace("mass", "inertia: [[1, 0, 0], [0, 1, 0], [0, 0, 1]], mass"),
    "place": PART.replace(HERE, "place: {front: 4 clear of case, centre: {y: case inside}, bottom: on case floor}"),
    "electrical": PART + "electrical: {potentials: {plus: 294 V, lamp: {volts: 12 V, circuit: low}}, altitude: 2 km}\n",
    "heights": PART + "heights: {find: {p: {stock: {5: 2, 8: 4}}}, so_that: [{level: [p top, case top], within: 1}]}\n",
    "screws": PART + "screws: {a: {thread: M8, property_class: 8.8, torque: 22 Nm, clamps: [2, p], engagement: 2 d}}\n",
    "vehicle": PART + "vehicle: {wheelbase: 1800, weighed: {front: 1460, rear: 1520}, springs: {front: 80 N/mm}}\n",
    "assembly": PART + "assembly: {sequence: find}\n",
    "cables": PART + "cables: {a: {diameter: 9, bend: 5 x, ends: [p, case], slack: 3 %}}\n",
    "ducts": PART + "ducts: {p: {section: [12, 9], keep: 90 %}}\n",
    "tools": PART + "tools: {ring spanner: {across_flats: 13, head_width: 22 mm, swing: 30}}\n",
    "measured": PART + "measured: [{of: p, size: z, reading: [60, 60.1 mm]}, {gap: [p, case], reading: 3}]\n",
    "rules": PART + "gaps: [{between: [every module, anything], at_least: 5}]\ncontacts: [[p, case]]\n",
}

BAD = {
    "unknown key": PART.replace("mass", "colour: red, mass"),
    "unknown role": PART.replace("other", "modul"),
    "negative size": PART.replace("100", "-100"),
    "negative size in text": PART.replace("100", "-100 mm"),
    "zero size": PART.replace("100", "0"),
    "negative mass": PART.replace("mass: 1", "mass: -1"),
    "no number": PART.replace("100", "wide"),
    "not a number": PART.replace("100", ".nan"),
    "decimal comma": PART.replace("mass: 1", 'mass: "1,5"'),
    "two sizes": PART.replace("100, ", ""),
    "two shapes": PART.replace("{box", "{cylinder: {diameter: 9, length: 9, along: z}, box"),
    "no shape": PART.replace("shape: {box: [100, 80, 60]}, ", ""),
    "no role": PART.replace("role: other, ", ""),
    "axis of no shape": PART.replace(BOX, "shape: {cylinder: {diameter: 9, length: 9, along: w}}"),
    "turn about two axes": PART.replace("mass", "turn: {x: 90, z: 90}, mass"),
    "empty value": PART.replace("mass: 1", "mass: "),
    "unknown key in a value": PART.replace("100", "{value: 100, tol: 1}"),
    "unknown instrument": PART.replace("100", "{value: 100, known_by: ruler}"),
    "bare voltage": PART + "electrical: {potentials: {plus: 294}}\n",
    "bare torque": PART + "screws: {a: {thread: M8, torque: 22}}\n",
    "bare share": PART.replace("mass", "grows: {z: 2}, mass"),
    "no limit": PART + "gaps: [{between: [p, case]}]\n",
    "one of a pair": PART + "contacts: [[p]]\n",
    "format": PART + "judge_by: worst\n",
    "neither level nor clear height": PART + "heights: {find: {p: {stock: [3]}}, so_that: [{at_least: 1}]}\n",
    "long name": PART.replace("p:", "x" * 61 + ":"),
    "two subjects of a reading": PART + "measured: [{mass: p, gap: [p, case], reading: 3}]\n",
    "unknown section": PART + "gap: []\n",
}


@pytest.mark.parametrize("name", GOOD)
def test_schema_and_reader_accept_the_same(name):
    text = layout_text(GOOD[name])
    read(text)
    assert [error.message for error in VALIDATOR.iter_errors(as_an_editor_sees(text))] == []


@pytest.mark.parametrize("name", BAD)
def test_schema_and_reader_refuse_the_same(name):
    text = layout_text(BAD[name])
    assert problems(text)
    assert schema_refuses(text)


def test_keys_by_place():
    assert known_keys(("parts", "m1", "shape")) == ("box", "cylinder", "tube", "prism", "tray", "mesh", "group")
    assert known_keys(("parts", "m1", "place", "centre")) == ("x", "y", "z")
    assert known_keys(("parts", "m1", "mass")) == ("value", "tolerance", "unit", "known_by")
    assert known_keys(("assembly", "moves", "m1")) == ("from", "tilt")
    assert known_keys(("nowhere",)) == ()


def test_counts_by_place():
    assert exact_count(("parts", "m1", "low_corner")) == 3
    assert exact_count(("contacts", 0)) == 2
    assert exact_count(("contacts",)) is None
