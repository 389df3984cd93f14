"""Laws of the choice from stock: an independent search over every stack finds nothing better."""

from __future__ import annotations

import math
from itertools import combinations, combinations_with_replacement, product

from engine_layouts import study
from hypothesis import given, settings
from hypothesis import strategies as st

from fitcheck.checks import clear_height, gap
from fitcheck.findings import Sense, Status
from fitcheck.model.part import Build
from fitcheck.model.quantity import exact
from fitcheck.stack.choose import choose, is_possible, least, shop_of
from fitcheck.stack.found import Found, Pick, with_heights
from fitcheck.stack.needs import NOMINAL, RSS, WORST, Need, Own
from fitcheck.stack.solve import contradiction, solve, tighten
from fitcheck.study import Study

SIZES = st.lists(st.sampled_from([2.0, 3.0, 4.5, 5.0, 7.0, 8.0]), min_size=1, max_size=3, unique=True)
BASES = st.sampled_from([NOMINAL, WORST, RSS])


@st.composite
def heights(draw, name):
    counts = draw(st.sampled_from([None, 1, 2]))
    sizes = sorted(draw(SIZES))
    return Found(
        parts=(name, f"{name} too") if draw(st.booleans()) else (name,),
        written=(exact(f"{name}.z", 1.0),),
        stock=tuple((size, counts) for size in sizes),
        step=None,
        at_most_pieces=draw(st.integers(1, 4)),
        tolerance=(draw(st.sampled_from([0.0, 0.2])),) * 2,
        per_piece=(draw(st.sampled_from([0.0, 0.1, 0.4])),) * 2,
    )


@st.composite
def needs(draw, title, names):
    rates = {name: draw(st.sampled_from([1.0, -1.0, 0.5, 2.0])) for name in names if draw(st.booleans())}
    return Need(
        title=title,
        check="clear height",
        parts=(),
        state="",
        sense=Sense.AT_LEAST,
        required=0.0,
        base=draw(st.integers(-16, 12)) / 2 - 0.05,
        rates=rates,
        worst=0.7,
        squares=0.25,
        own=tuple(Own(of=name, share=abs(rate), falls=rate > 0) for name, rate in rates.items()),
    )


def stacks(found):
    """Every stack of one height that its own limits allow."""
    sizes = [size for size, _ in found.stock]
    for number in range(1, found.at_most_pieces + 1):
        for pieces in combinations_with_replacement(sizes, number):
            if all(count is None or pieces.count(size) * len(found.parts) <= count for size, count in found.stock):
                yield pieces


def every_choice(found, wanted, basis):
    """(height of all parts, pieces of all parts) of every choice that keeps to every need."""
    by_name = {each.name: each for each in found}
    for chosen in product(*(list(stacks(each)) for each in found)):
        reached = {each.name: sum(pieces) for each, pieces in zip(found, chosen, strict=True)}
        count = {each.name: len(pieces) for each, pieces in zip(found, chosen, strict=True)}
        if all(need.margin(basis, by_name, reached, count) >= -1e-6 for need in wanted):
            yield (
                sum(reached[each.name] * len(each.parts) for each in found),
                sum(count[each.name] * len(each.parts) for each in found),
            )


def picked(found, wanted, basis, prefer):
    """What the solver takes, tangents and all."""
    shop = shop_of(found)
    while True:
        picks = choose(shop, wanted, basis, prefer)
        if picks is None or basis != RSS or not tighten(shop, wanted, picks):
            return shop, picks


def separate_shelves(found):
    """Two heights with the same counted stock share a shelf, which the search here does not know."""
    return len(found) < 2 or found[0].stock != found[1].stock or found[0].stock[0][1] is None


@settings(max_examples=80, deadline=None)
@given(st.data(), BASES, st.sampled_from(["least height", "fewest pieces"]))
def test_nothing_beats_the_choice(data, basis, prefer):
    names = ["a", "b"][: data.draw(st.integers(1, 2))]
    found = [data.draw(heights(name)) for name in names]
    wanted = [data.draw(needs(f"need {k}", names)) for k in range(data.draw(st.integers(1, 3)))]
    if not separate_shelves(found):
        return
    shop, picks = picked(found, wanted, basis, prefer)
    all_choices = list(every_choice(found, wanted, basis))
    if picks is None:
        assert all_choices == []
        at_odds = contradiction(shop, wanted, basis)
        assert at_odds
        return
    order = (0, 1) if prefer == "least height" else (1, 0)
    best = min(all_choices, key=lambda pair: (round(pair[order[0]], 6), round(pair[order[1]], 6)))
    own = (
        sum(pick.height * len(shop.found[name].parts) for name, pick in picks.items()),
        sum(len(pick.pieces) * len(shop.found[name].parts) for name, pick in picks.items()),
    )
    assert (round(own[0], 6), round(own[1], 6)) == (round(best[0], 6), round(best[1], 6))


@settings(max_examples=60, deadline=None)
@given(st.data(), st.sampled_from([NOMINAL, WORST]))
def test_no_stack_is_lower_than_the_least_height(data, basis):
    found = [data.draw(heights("a"))]
    wanted = [data.draw(needs(f"need {k}", ["a"])) for k in range(2)]
    floor = least(found, wanted, basis)
    for height, _ in every_choice(found, wanted, basis):
        assert floor is not None
        assert height / len(found[0].parts) >= floor["a"] - 1e-6


@settings(max_examples=60, deadline=None)
@given(st.data())
def test_a_contradiction_is_the_smallest_set_that_cannot_hold(data):
    found = [data.draw(heights("a"))]
    wanted = [data.draw(needs(f"need {k}", ["a"])) for k in range(3)]
    shop, picks = picked(found, wanted, WORST, "least height")
    if picks is not None:
        return
    at_odds = {row.what for row in contradiction(shop, wanted, WORST)}
    every = [*wanted, *shop.limits]
    assert not is_possible(shop, *divided([each for each in every if each.title in at_odds]), WORST)
    # No set of fewer contradicts, and so neither does this one with any of it left out.
    for size in range(len(at_odds)):
        assert all(is_possible(shop, *divided(some), WORST) for some in combinations(every, size))


def divided(conditions):
    return (
        [each for each in conditions if isinstance(each, Need)],
        [each for each in conditions if not isinstance(each, Need)],
    )


BAY = """
    parts:
      case:
        {role: enclosure, change: retained, inside_low_corner: [0, 0, 0],
         shape: {tray: {inside: [100, 100, 50 ± 0.5], wall: 2, floor: 2}}}
      pad:
        {role: spacer, change: new, shape: {box: [60, 60, 5]},
         place: {centre: {x: case inside, y: case inside}, bottom: on case floor}}
      m1:
        {role: module, change: new, shape: {box: [60, 60, 40 ± 0.4]}, grows: {z: 1 %},
         place: {centre: {x: case inside, y: case inside}, bottom: on pad}}
      frame:
        {role: frame, change: new, shape: {box: [104, 104, 6]},
         place: {front: flush with case, left: flush with case, bottom: on case rim}}
      lid:
        {role: lid, change: retained, shape: {box: [104, 104, 2]},
         place: {front: flush with case, left: flush with case, bottom: on frame}}
    gaps:
      - {between: [m1, lid], at_least: GAP}
    heights:
      find:
        pad: {stock: [2, 3], at_most_pieces: 3, piece_tolerance: 0.1}
        frame: {stock: [3, 5], at_most_pieces: 3, tolerance: 0.2}
      so_that:
        - {clear_height: [case, lid], at_least: 1}
        - {clear_height: [pad, lid], at_least: AIR}
      judge_by: BASIS
"""


@settings(max_examples=6, deadline=None)
@given(st.integers(0, 24), st.integers(40, 60), st.sampled_from([WORST, RSS]))
def test_nothing_beats_the_choice_in_a_placed_layout(gap_asked, air, basis):
    """Every stack is put into the layout and judged by the checks themselves: none that keeps all is lower."""
    text = BAY.replace("GAP", str(gap_asked)).replace("AIR", str(air)).replace("BASIS", basis)
    written = study(f"    judge_by: {basis}\n{text}")
    solved = solve(written)
    lowest = None
    for pad, frame in product(*(list(stacks(each)) for each in solved.found)):
        picks = {"pad": Pick(height=sum(pad), pieces=pad), "frame": Pick(height=sum(frame), pieces=frame)}
        placed = Study(with_heights(written.layout, solved.found, picks), written.meshes)
        found = [*clear_height.check(placed), *gap.check(placed, Build.PROPOSED)]
        if all(one.status is Status.MET for one in found):
            lowest = min(lowest or math.inf, sum(pad) + sum(frame))
    chosen = sum(pick.height for pick in solved.picks.values()) if solved.picks else None
    assert chosen == lowest
