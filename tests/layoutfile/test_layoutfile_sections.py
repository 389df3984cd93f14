"""The sections beside the parts: everything is read, looked up and kept."""

from __future__ import annotations

import pytest
from written import layout_text, only, place_of, read

from fitcheck.model.rules import Selector

PARTS = """\
  m1: {role: module, change: new, shape: {box: [410, 168, 126]}, mass: 12, low_corner: [10, 10, 8]}
  pad_1: {role: spacer, change: new, shape: {box: [390, 150, 8]}, mass: 1, low_corner: [10, 10, 0]}
  lid: {role: lid, change: retained, shape: {box: [904, 504, 2]}, mass: 3, low_corner: [0, 0, 160]}
  column 2: {role: column, change: retained, shape: bar, mass: 1, low_corner: [800, 9, 0]}
"""
SHAPES = "shapes: {bar: {cylinder: {diameter: 18, length: 150, along: z}}}\n"
ELECTRICAL = """\
electrical:
  potentials: {plus: 294 V, tap: 147 V ± 1 %, minus: 0 V, lamp: {volts: 12 V, circuit: low}}
  chassis: [every enclosure, lid]
  system: minus bonded
  impulse: 2.5 kV
  pollution_degree: 2
  altitude: 1500 m
  insulation: reinforced
  cemented: [[lid, case]]
"""


def sections(below: str):
    return read(layout_text(PARTS, above=SHAPES, below=below)).sections


def nominals(values) -> list[float]:
    return [value.nominal for value in values]


def test_rules_contacts_concessions():
    layout = read(
        layout_text(
            PARTS,
            above=SHAPES,
            below="gaps:\n  - {between: [every module, anything], at_least: 5 ± 1, because: weld beads}\n"
            "  - {between: [column 2, m1], at_least: 0.25 in}\n"
            "contacts: [[m1, pad_1]]\n"
            "concessions:\n"
            "  - {check: gap, parts: [m1, column 2], down_to: 1.2, because: cut, signed: AB, date: 2026-03-02}\n"
            "list_within: 1 in\njudge_by: rss\ntitle: Bay\ndatum: floor\n",
        )
    )
    first, second = layout.gap_rules
    assert first.between == (Selector(role="module"), Selector())
    assert (first.because, first.at_least.name, first.at_least.above) == ("weld beads", "gaps.1.at_least", 1)
    assert second.between == (Selector(part="column 2"), Selector(part="m1"))
    assert second.at_least.nominal == 6.35
    assert layout.contacts == (("m1", "pad_1"),)
    (concession,) = layout.concessions
    assert (concession.check, concession.parts, concession.down_to.nominal) == ("gap", ("m1", "column 2"), 1.2)
    assert (concession.because, concession.signed, concession.date) == ("cut", "AB", "2026-03-02")
    assert (layout.list_within, layout.judge_by, layout.title, layout.datum) == (25.4, "rss", "Bay", "floor")


def test_what_a_silent_layout_means():
    layout = read(layout_text(""))
    assert (layout.axes, layout.judge_by, layout.list_within) == (("rearward", "right", "up"), "worst case", 25.0)
    assert layout.sections == type(layout.sections)()


def test_electrical():
    found = sections(ELECTRICAL).electrical
    assert [(each.name, each.volts.nominal, each.circuit) for each in found.potentials] == [
        ("plus", 294, "main"), ("tap", 147, "main"), ("minus", 0, "main"), ("lamp", 12, "low"),
    ]  # fmt: skip
    assert found.potentials[1].volts.above == pytest.approx(1.47, rel=1e-12)
    assert (found.chassis, found.system) == (("every enclosure", "lid"), "minus bonded")
    assert (found.impulse_kv.nominal, found.impulse_kv.unit) == (2.5, "kV")
    assert (found.altitude_m.nominal, found.altitude_m.unit) == (1500, "m")
    assert (found.pollution_degree, found.insulation, found.cemented) == (2, "reinforced", (("lid", "case"),))


def test_electrical_that_leaves_things_open_takes_the_harsher():
    found = sections("electrical: {potentials: {plus: 294 V}, overvoltage_category: II, supply: 230 V}\n").electrical
    assert (found.pollution_degree, found.altitude_m.nominal, found.system) == (3, 2000, "isolated")
    assert (found.overvoltage_category, found.supply_v.nominal, found.impulse_kv) == ("II", 230, None)


def test_heights():
    found = sections(
        "heights:\n"
        "  find:\n"
        "    pad_1: {stock: [3, 5, 8, 0.5 in], at_most_pieces: 4, tolerance: 0.2, same_for: [lid]}\n"
        "    column 2: {stock: {5: 2, 8: 4}, piece_tolerance: 0.1}\n"
        "    m1: {stock: any, step: 0.5}\n"
        "  so_that:\n"
        "    - {clear_height: [m1, lid], at_least: 8, at_most: 12}\n"
        "    - {level: ['\"column 2\" top', lid top], within: 1}\n"
        "    - {level: [column 2 top, lid bottom], within: 1}\n"
        "  prefer: fewest pieces\n"
    ).heights
    pad, column, module = found.find
    assert pad.stock == ((3, None), (5, None), (8, None), (12.7, None))
    assert (pad.at_most_pieces, pad.tolerance.nominal, pad.same_for) == (4, 0.2, ("lid",))
    assert (column.part, column.stock, column.piece_tolerance.nominal) == ("column 2", ((5, 2), (8, 4)), 0.1)
    assert (module.stock, module.step) == ((), 0.5)
    clear, level, same = found.so_that
    assert (clear.kind, clear.between, clear.at_least.nominal, clear.at_most.nominal) == (
        "clear height", ("m1", "lid"), 8, 12,
    )  # fmt: skip
    assert (level.kind, level.between, level.within.nominal) == ("level", ("column 2 top", "lid top"), 1)
    assert same.between == ("column 2 top", "lid bottom")
    assert (found.judge_by, found.prefer) == ("worst case", "fewest pieces")


def test_screws():
    bolt, nut = sections(
        "screws:\n"
        "  hold_down: {thread: M8, head: ISO 4762, property_class: 8.8, torque: 22 Nm, direction: down,\n"
        "    clamps: [washer ISO 7089, 2.0, pad_1, 3 ± 0.1], into: {material: aluminium, usable_depth: 20},\n"
        "    engagement: 2 d, spare: 2, at: [[1, 2, 3], [4, 5, 6]]}\n"
        "  through: {thread: M6, into: {nut: ISO 4032}, engagement: 6 mm, length: 40}\n"
    ).screws
    assert (bolt.name, bolt.thread, bolt.head, bolt.property_class) == ("hold_down", "M8", "ISO 4762", "8.8")
    assert (bolt.torque_nm.nominal, bolt.torque_nm.unit) == (22, "N·m")
    washer, plate, pad, seal = bolt.clamps
    assert (washer.washer, plate.thickness.nominal, pad.part, seal.thickness.above) == ("ISO 7089", 2, "pad_1", 0.1)
    assert (bolt.into_material, bolt.usable_depth.nominal, bolt.into_nut) == ("aluminium", 20, None)
    assert (bolt.engagement.nominal, bolt.engagement.unit, bolt.spare.nominal) == (2, "d", 2)
    assert [nominals(place) for place in bolt.places] == [[1, 2, 3], [4, 5, 6]]
    assert (nut.into_nut, nut.engagement.unit, nut.length.nominal) == ("ISO 4032", "mm", 40)


def test_vehicle():
    found = sections(
        "screws: {bolt: {thread: M8}}\n"
        "vehicle: {wheelbase: 1800, track: 1250, weighed: {front: 1460 ± 10, rear: 1520}, cg_height: 640,\n"
        "  limits: {front: 1600, rear: 1750, gross: 3300}, case_low: [900, -300, 200], weighed_as: kerb,\n"
        "  payload: [{mass: 75, at: [100, 0, 900]}], springs: {front: 80, rear: 120 N/mm}, category: N1,\n"
        "  ground_clearance: {measured: 180, at_least: 150}, pack_weighed: {original: 588, proposed: 470},\n"
        "  raised_axle: {raised: front, lift: 300, other_axle: 1600, wheel_radius: 290},\n"
        "  weighed_after: {front left: 700, front right: 710, rear_left: 730, rear_right: 720},\n"
        "  inertia: [1000, 2000, 2200], rule_cards: [every limit], held_by: {bolt: 8}}\n"
    ).vehicle
    assert (found.wheelbase.nominal, found.track.nominal, found.cg_height.nominal) == (1800, 1250, 640)
    assert [(name, value.nominal) for name, value in found.weighed] == [("front", 1460), ("rear", 1520)]
    assert found.weighed[0][1].above == 10
    assert [(name, value.nominal) for name, value in found.limits] == [("front", 1600), ("rear", 1750), ("gross", 3300)]
    assert nominals(found.case_low) == [900, -300, 200]
    assert found.payload[0].mass.nominal == 75
    assert [value.nominal for _, value in found.springs] == [80, 120]
    assert (found.ground_clearance.nominal, found.ground_clearance_least.nominal) == (180, 150)
    assert [(name, value.nominal) for name, value in found.pack_weighed] == [("original", 588), ("proposed", 470)]
    assert (found.raised_axle.raised, found.raised_axle.wheel_radius.nominal) == ("front", 290)
    assert [name for name, _ in found.weighed_after] == ["front left", "front right", "rear left", "rear right"]
    assert found.inertia[2] == (0, 0, 2200)
    assert (found.weighed_as, found.category, found.rule_cards, found.held_by) == (
        "kerb", "N1", ("every limit",), (("bolt", 8),),
    )  # fmt: skip


def test_vehicle_in_short():
    found = sections("vehicle: {wheelbase: 1800, ground_clearance: 180, pack_weighed: 588}\n").vehicle
    assert (found.ground_clearance.nominal, found.ground_clearance_least, found.weighed) == (180, None, ())
    assert [(name, value.nominal) for name, value in found.pack_weighed] == [("original", 588)]


def test_assembly_cables_ducts_tools():
    found = sections(
        "assembly: {sequence: [pad_1, m1, lid], moves: {m1: {from: up, tilt: 0.5 deg}, lid: {}}}\n"
        "cables: {hv_1: {diameter: 15.5, bend: 5 x, ends: [m1, lid], lug: 45, route: [[1, 2, 3]], slack: 3 %}}\n"
        "ducts: {pad_1: {section: [120, 38], keep: 90 %}}\n"
        "tools: {ring spanner 13: {across_flats: 13, swing: 30 deg, head_width: 22, length: 7 in}}\n"
    )
    assert found.assembly.sequence == ("pad_1", "m1", "lid")
    assert [(move.part, move.comes_from, move.tilt and move.tilt.nominal) for move in found.assembly.moves] == [
        ("m1", "up", 0.5), ("lid", "up", None),
    ]  # fmt: skip
    (cable,) = found.cables
    assert (cable.diameter.nominal, cable.bend.nominal, cable.bend.unit, cable.ends) == (15.5, 5, "x", ("m1", "lid"))
    assert (cable.lug.nominal, nominals(cable.route[0]), cable.slack.nominal) == (45, [1, 2, 3], 0.03)
    (duct,) = found.ducts
    assert (duct.part, nominals(duct.section), duct.keep.nominal) == ("pad_1", [120, 38], 0.9)
    (tool,) = found.tools
    assert (tool.name, tool.across_flats.nominal) == ("ring spanner 13", 13)
    assert {name: (size.nominal, size.unit) for name, size in tool.sizes} == {
        "swing": (30, "deg"), "head_width": (22, "mm"), "length": (pytest.approx(177.8), "mm"),
    }  # fmt: skip
    assert sections("assembly: {sequence: find}\n").assembly.sequence == ()


def test_measured():
    found = sections(
        ELECTRICAL + "measured:\n"
        "  - {of: m1, size: z, reading: [126.4, 126.5], known_by: caliper}\n"
        "  - {gap: [m1, case], reading: 4.8, known_by: feeler}\n"
        "  - {isolation_resistance: plus, reading: 0.42 MΩ, at: 294 V, known_by: meter}\n"
        "  - {of: case.inside.y, reading: 499.5 ± 0.5}\n"
        "  - {mass: m1, reading: 12.2, known_by: weighing}\n"
        "  - {of: m1.mass, reading: 12.2}\n"
        "  - {of: column 2, size: diameter, reading: 18.1}\n"
        "  - {of: column 2, size: x, reading: 18.1}\n"
    ).measured
    assert [(reading.kind, reading.of) for reading in found] == [
        ("size", ("m1", "z")), ("gap", ("m1", "case")), ("isolation resistance", ("plus",)),
        ("size", ("case.inside.y",)), ("mass", ("m1",)), ("mass", ("m1",)), ("size", ("column 2", "diameter")),
        ("size", ("column 2", "x")),
    ]  # fmt: skip
    assert nominals(found[0].readings) == [126.4, 126.5]
    assert found[0].readings[0].basis == "default for caliper"
    assert (found[2].readings[0].nominal, found[2].at_volts.nominal) == (420_000, 294)
    assert (found[3].readings[0].above, found[4].readings[0].unit) == (0.5, "kg")


@pytest.mark.parametrize(
    ("below", "what", "at"),
    [
        ("gaps: [{between: [m1, csae], at_least: 5}]\n", "there is no part 'csae'", "csae"),
        ("gaps: [{between: [m1, every modul], at_least: 5}]\n", "there is no role 'modul'", "every modul]"),
        ("gaps: [{between: [m1], at_least: 5}]\n", "1 entry here; 2 needed", "[m1]"),
        ("gaps: [{between: [m1, case], at_least: -5}]\n", "a negative length", "-5"),
        ("gaps: [{between: [m1, m1], at_least: 5}]\n", "'m1' with itself", "[m1, m1]"),
        ("contacts: [[m1, m1]]\n", "'m1' with itself", "[m1, m1]"),
        (
            "concessions: [{check: gap, parts: [m1, case], down_to: -1, because: x, signed: y, date: 2026-01-01}]\n",
            "no concession allows one",
            "-1",
        ),
        ("contacts: [[m1, m2]]\n", "there is no part 'm2'", "m2"),
        (
            "concessions: [{check: gapp, parts: [m1], down_to: 1, because: x, signed: y, date: 2026-01-01}]\n",
            "unknown word 'gapp'",
            "gapp",
        ),
        (
            "concessions: [{check: gap, parts: [m1], down_to: 1, because: x, date: 2026-01-01}]\n",
            "no 'signed' here",
            "{check",
        ),
        (
            "concessions: [{check: gap, parts: [m1], down_to: 1, because: x, signed: y, date: 2026-02-30}]\n",
            "'2026-02-30' is no day of the calendar",
            "2026-02-30",
        ),
        (
            "concessions: [{check: gap, parts: [m1], down_to: 1, because: x, signed: y, date: 2026-W10-1}]\n",
            "'2026-W10-1' is no day of the calendar",
            "2026-W10-1",
        ),
        (
            "concessions: [{check: gap, parts: [m1], down_to: 1, because: x, signed: y, date: 2 March 2026}]\n",
            "'2 March 2026' is no day of the calendar",
            "2 March 2026",
        ),
        ("electrical: {potentials: {plus: 294}}\n", "'294' has no unit", "294"),
        ("electrical: {potentials: {plus: 294 V}, altitude: 1500}\n", "'1500' has no unit", "1500"),
        ("electrical: {potentials: {plus: 294 V}, overvoltage_category: II}\n", "without supply", "overvoltage"),
        (
            "electrical: {potentials: {plus: 1 V}, overvoltage_category: II, impulse: 1 kV, supply: 9 V}\n",
            "twice",
            "overvoltage_category",
        ),
        ("electrical: {potentials: {plus: 1 V}, chassis: [every lidd]}\n", "no role 'lidd'", "every lidd"),
        ("electrical: {potentials: {plus: 1 V}, pollution_degree: 5}\n", "unknown word '5'", "5}"),
        ("heights: {find: {pad_9: {stock: [3]}}}\n", "there is no part 'pad_9'", "pad_9"),
        ("heights: {find: {pad_1: {stock: any}}}\n", "without a step", "any"),
        ("heights: {find: {pad_1: {stock: [3], step: 1}}}\n", "a step beside", "step"),
        ("heights: {find: {pad_1: {stock: {5: 0}}}}\n", "no whole number above zero", "0}}}"),
        ("heights: {find: {pad_1: {stock: [3], same_for: [pad_1]}}}\n", "found twice", "find"),
        (
            "heights: {find: {pad_1: {stock: [3]}}, so_that: [{level: [lid tpo, m1 top], within: 1}]}\n",
            "'lid tpo' names no face",
            "lid tpo",
        ),
        (
            "heights: {find: {pad_1: {stock: [3]}}, so_that: [{level: [lid top, m1 top], at_least: 1}]}\n",
            "at_least does not go with this",
            "at_least",
        ),
        ("heights: {find: {pad_1: {stock: [3]}}, so_that: [{clear_height: [m1, lid]}]}\n", "no limit", "{clear_height"),
        ("heights: {find: {pad_1: {stock: [3]}}, so_that: [{at_least: 3}]}\n", "neither clear_height", "{at_least"),
        ("screws: {a: {thread: M8, torque: 22}}\n", "'22' has no unit", "22"),
        ("screws: {a: {thread: M8, clamps: [pad_2]}}\n", "is no part, no washer", "pad_2"),
        ("screws: {a: {thread: M8, clamps: [2 kg]}}\n", "is a mass", "2 kg"),
        ("screws: {a: {thread: M8, into: {usable_depth: 3}}}\n", "into a nut or into a material", "into"),
        ("screws: {a: {thread: M8, into: {material: steel}}}\n", "without usable_depth", "into"),
        ("screws: {a: {thread: M8, into: {nut: x, usable_depth: 3}}}\n", "a nut has no usable depth", "usable_depth"),
        (
            "vehicle: {wheelbase: 1800, weighed: {front: 1, rear left: 2}}\n",
            "weighed holds front, rear left",
            "weighed",
        ),
        ("vehicle: {wheelbase: 1800, held_by: {bolt: 8}}\n", "there is no screw 'bolt'", "bolt"),
        ("vehicle: {track: 1800}\n", "'vehicle' has no 'wheelbase'", "vehicle"),
        ("assembly: {sequence: [m1, m1]}\n", "stands twice", "m1]"),
        ("assembly: {sequence: fnid}\n", "unknown word 'fnid'", "fnid"),
        ("assembly: {sequence: [m1], moves: {m1: {from: above}}}\n", "unknown word 'above'", "above"),
        ("cables: {a: {diameter: 9, bend: 5 y, ends: [m1, lid]}}\n", "'y' is no unit", "5 y"),
        ("ducts: {pad_1: {section: [1, 2], keep: 110 %}}\n", "more than the whole section", "110"),
        ("ducts: {m9: {section: [1, 2], keep: 90 %}}\n", "there is no part 'm9'", "m9"),
        ("tools: {a: {across_flats: 13, length: 3 kg}}\n", "is a mass", "3 kg"),
        ("measured: [{of: m1, reading: 3}]\n", "which size of 'm1'", "{of: m1"),
        ("measured: [{of: m1, size: w, reading: 3}]\n", "m1 has no size 'w'", "w,"),
        ("measured: [{of: m1.w, reading: 3}]\n", "there is no part or value 'm1.w'", "m1.w"),
        ("measured: [{gap: [m1, case], size: x, reading: 3}]\n", "a size of no part", "size"),
        ("measured: [{reading: 3}]\n", "a reading of nothing", "{reading"),
        ("measured: [{isolation_resistance: plus, reading: 1 MΩ}]\n", "there is no potential 'plus'", "plus"),
        ("measured: [{mass: m1, reading: 3 mm}]\n", "is a length", "3 mm"),
        ("measured: [{mass: m1, reading: 3, at: 3 V}]\n", "a test voltage", "at: 3"),
        ("judge_by: worst\n", "unknown word 'worst'", "worst"),
        ("gap: []\n", "unknown key 'gap'", "gap"),
    ],
)
def test_sections_that_are_refused(below, what, at):
    text = layout_text(PARTS, above=SHAPES, below=below)
    problem = only(text)
    assert what in problem.what
    line, column = place_of(text[text.index(below) :], at)
    assert (problem.at.line, problem.at.column) == (text[: text.index(below)].count("\n") + line, column)


def test_the_format_version():
    text = layout_text("").replace("fitcheck: 1", "fitcheck: 2")
    problem = only(text)
    assert problem.what == "unknown word '2'"
    assert (problem.at.line, problem.at.column) == place_of(text, "2")
    assert only(layout_text("").replace("fitcheck: 1\n", "")).what == "no 'fitcheck' here"
