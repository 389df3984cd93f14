from __future__ import annotations

import pytest
from engine_layouts import BEGINNING, END, study

from fitcheck.model.part import Feature

CASE = """
    {header}
    parts:
      case:
        {{role: enclosure, change: retained, inside_low_corner: [0, 0, 0],
         shape: {{tray: {{inside: [900 ± 2, 451 ± 1, 160], wall: 2, floor: 3}}}}}}
      m1: {{role: module, change: new, shape: {{box: [100 ± 0.5, 60, 40]}}, low_corner: [200, 100, 0]}}
      m2: {{role: module, change: new, shape: {{box: [30, 20, 10]}}, place: {{{place}}}}}
"""
REST = {
    "x": "front: flush with m1",
    "y": "left: flush with m1",
    "z": "bottom: flush with m1",
}


def planes(axis: str, words: str, header: str = "") -> tuple[float, float]:
    """(low, high) of m2 along one axis, placed there in words and flush with m1 along the others."""
    rest = ", ".join([words, *(said for other, said in REST.items() if other != axis)])
    chain = study(CASE.format(header=header, place=rest)).chain(BEGINNING)
    part = chain.layout.by_name["m2"]
    k = "xyz".index(axis)
    return chain.low(part, k).nominal, chain.high(part, k).nominal


@pytest.mark.parametrize(
    ("axis", "words", "low"),
    [
        ("x", "front: 12 clear of case inside front", 12.0),
        ("x", "rear: 12 clear of case inside rear", 900.0 - 12.0 - 30.0),
        ("x", "front: 4 clear of m1 rear", 304.0),
        ("x", "rear: 4 clear of m1 front", 200.0 - 4.0 - 30.0),
        ("x", "front: against m1 rear", 300.0),
        ("x", "rear: against m1", 200.0 - 30.0),
        ("x", "front: flush with m1", 200.0),
        ("x", "rear: flush with m1", 300.0 - 30.0),
        ("x", "front: flush with m1 rear", 300.0),
        ("x", "front: 5 past m1", 195.0),
        ("x", "rear: 5 past m1", 305.0 - 30.0),
        ("x", "front: 5 short of m1", 205.0),
        ("x", "rear: 5 short of m1", 295.0 - 30.0),
        ("x", "centre: {x: case inside}", 435.0),
        ("x", "centre: {x: m1}", 235.0),
        ("y", "left: 7 clear of case inside left", 7.0),
        ("y", "right: 7 clear of case left", -2.0 - 7.0 - 20.0),
        ("y", "left: 7 clear of case right", 453.0 + 7.0),
        ("z", "bottom: on case floor", 0.0),
        ("z", "bottom: on case rim", 160.0),
        ("z", "bottom: on m1", 40.0),
        ("z", "top: 3 clear of case", -3.0 - 3.0 - 10.0),
        ("z", "top: 5 short of case rim", 160.0 - 5.0 - 10.0),
        ("z", "bottom: 2 clear of m1 top", 42.0),
    ],
)
def test_each_placing_word(axis: str, words: str, low: float) -> None:
    size = {"x": 30.0, "y": 20.0, "z": 10.0}[axis]
    assert planes(axis, words) == pytest.approx((low, low + size), abs=1e-12)


@pytest.mark.parametrize(
    ("axes", "words", "axis", "low"),
    [
        ("{x: forward, y: left, z: up}", "rear: 4 clear of m1 front", "x", 304.0),
        ("{x: forward, y: left, z: up}", "front: 4 clear of m1 rear", "x", 200.0 - 4.0 - 30.0),
        ("{x: forward, y: left, z: up}", "right: 4 clear of m1 left", "y", 164.0),
        ("{x: right, y: forward, z: up}", "left: 4 clear of m1 right", "x", 304.0),
        ("{x: right, y: forward, z: up}", "front: flush with m1", "y", 160.0 - 20.0),
        ("{x: right, y: rearward, z: down}", "bottom: on m1 top", "z", -10.0),
        ("{x: right, y: rearward, z: down}", "front: 5 past m1", "y", 95.0),
    ],
)
def test_face_words_follow_the_axes(axes: str, words: str, axis: str, low: float) -> None:
    rest = {"x": "low", "y": "low", "z": "low"}
    faces = {"forward": "rear", "rearward": "front", "left": "right", "right": "left", "up": "bottom", "down": "top"}
    directions = dict(entry.split(": ") for entry in axes.strip("{}").split(", "))
    others = [f"{faces[directions[k]]}: flush with m1" for k in rest if k != axis]
    text = f"""
    axes: {axes}
    parts:
      m1: {{role: module, change: new, shape: {{box: [100, 60, 40]}}, low_corner: [200, 100, 0]}}
      m2: {{role: module, change: new, shape: {{box: [30, 20, 10]}}, place: {{{", ".join([words, *others])}}}}}
    """
    chain = study(text).chain(BEGINNING)
    found = chain.low(chain.layout.by_name["m2"], "xyz".index(axis)).nominal
    assert found == pytest.approx(low, abs=1e-12)


def test_a_centred_part_moves_by_half_of_the_case() -> None:
    chain = study(CASE.format(header="", place="front: flush with m1, centre: {y: case inside}, bottom: on case floor"))
    low = chain.chain(BEGINNING).low(chain.layout.by_name["m2"], 1)
    assert low.terms == {"case.inside.y": 0.5}
    assert low.nominal == pytest.approx((451.0 - 20.0) / 2, abs=1e-12)


def test_a_stack_adds_up_and_a_shared_reference_cancels() -> None:
    text = """
    parts:
      case:
        {role: enclosure, change: retained, inside_low_corner: [0, 0, 0],
         shape: {tray: {inside: [900 ± 2, 451, 160], wall: 2 ± 0.1, floor: 3}}}
      m1:
        {role: module, change: new, shape: {box: [100 ± 0.5, 60, 40]},
         place: {front: 5 ± 1 clear of case inside front, left: 1 clear of case inside left, bottom: on case floor}}
      m2: {like: m1, place: {front: 4 ± 0.2 clear of m1 rear}}
      m3: {like: m1, place: {front: 4 ± 0.2 clear of m2 rear}}
    """
    chain = study(text).chain(BEGINNING)
    m1, m2, m3 = (chain.layout.by_name[name] for name in ("m1", "m2", "m3"))
    between = ("m1.x", "m2.place.front", "m2.x", "m3.place.front")
    assert chain.low(m3, 0).terms == dict.fromkeys(("m1.place.front", *between), 1.0)
    assert (chain.low(m3, 0) - chain.high(m2, 0)).terms == {"m3.place.front": 1.0}
    assert (chain.low(m3, 0) - chain.low(m1, 0)).terms == dict.fromkeys(between, 1.0)


def test_a_turned_part_is_placed_by_its_turned_box() -> None:
    text = """
    parts:
      m1: {role: module, change: new, turn: {z: 90}, shape: {box: [100, 60, 40]}, low_corner: [10, 20, 30]}
      m2: {role: module, change: new, turn: {z: 30}, shape: {box: [100, 60, 40]}, low_corner: [10, 20, 30]}
    """
    chain = study(text).chain(BEGINNING)
    m1, m2 = (chain.layout.by_name[name] for name in ("m1", "m2"))
    assert [chain.high(m1, k).nominal for k in range(3)] == pytest.approx([70.0, 120.0, 70.0], abs=1e-12)
    cosine, sine = 3**0.5 / 2, 0.5
    assert [chain.low(m2, k).nominal for k in range(3)] == pytest.approx([10.0, 20.0, 30.0], abs=1e-12)
    assert [chain.high(m2, k).nominal for k in range(3)] == pytest.approx(
        [10.0 + 100 * cosine + 60 * sine, 20.0 + 100 * sine + 60 * cosine, 70.0], abs=1e-12
    )


def test_the_hollow_of_a_turned_tray() -> None:
    text = """
    parts:
      case:
        {role: enclosure, change: retained, turn: {z: 90}, inside_low_corner: [5, 6, 7],
         shape: {tray: {inside: [900, 400, 160], wall: 2, floor: 3}}}
    """
    chain = study(text).chain(BEGINNING)
    case = chain.layout.by_name["case"]
    ends = [(Feature.LOW, Feature.INSIDE_LOW, Feature.INSIDE_HIGH, Feature.HIGH)] * 3
    found = [[chain.plane(case, k, feature).nominal for feature in features] for k, features in enumerate(ends)]
    assert found[0] == pytest.approx([3.0, 5.0, 405.0, 407.0], abs=1e-12)
    assert found[1] == pytest.approx([4.0, 6.0, 906.0, 908.0], abs=1e-12)
    assert found[2] == pytest.approx([4.0, 7.0, 167.0, 167.0], abs=1e-12)


def test_at_gives_other_angles_and_leaves_the_chain_alone() -> None:
    placed = study("""
    parts:
      m1: {role: module, change: new, turn: {z: 0 ± 5}, shape: {box: [100, 60, 40]}, low_corner: [0, 0, 0]}
    """)
    chain = placed.chain(BEGINNING)
    m1 = chain.layout.by_name["m1"]
    quarter = chain.at({"m1.turn.z": 90.0})
    assert (quarter.high(m1, 0).nominal, chain.high(m1, 0).nominal) == (60.0, 100.0)


def test_states_share_the_layout_but_not_the_sizes() -> None:
    placed = study("""
    parts:
      m1: {role: module, change: new, grows: {y: 2 %}, shape: {box: [100, 60, 40]}, low_corner: [0, 0, 0]}
    """)
    m1 = placed.layout.by_name["m1"]
    assert placed.states == (BEGINNING, END)
    assert placed.chain(BEGINNING).high(m1, 1).nominal == 60.0
    assert placed.chain(END).high(m1, 1).nominal == pytest.approx(60.6, abs=1e-12)
