"""Laws of the choice from stock: an independent search over every stack finds nothing better."""

from __future__ import annotations

import math
from dataclasses import replace
from itertools import combinations, combinations_with_replacement, product

import pytest
from engine_layouts import study
from hypothesis import given, settings
from hypothesis import strategies as st

from fitcheck.checks import clear_height, gap
from fitcheck.findings import Sense, Status
from fitcheck.model.part import Build
from fitcheck.model.quantity import exact
from fitcheck.stack.choose import choose, least
from fitcheck.stack.conditions import conditions_of
from fitcheck.stack.contradiction import Contradicting
from fitcheck.stack.found import Found, Pick, with_heights
from fitcheck.stack.needs import NOMINAL, RSS, WORST, Need, Own
from fitcheck.stack.rationalise import fewest_heights
from fitcheck.stack.settle import Known
from fitcheck.stack.shop import shop_of
from fitcheck.stack.solve import Solved, solve
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


@st.composite
def bounds(draw, title, names):
    """A need that one or two heights reach from below or must stay under, so that several are at odds."""
    is_floor = draw(st.booleans())
    own = draw(st.lists(st.sampled_from(names), min_size=1, max_size=2, unique=True))
    rates = {name: draw(st.sampled_from([1.0, 1.0, 2.0])) * (1.0 if is_floor else -1.0) for name in own}
    limit = draw(st.integers(4, 40)) / 2
    return Need(
        title=title,
        check="clear height",
        parts=(),
        state="",
        sense=Sense.AT_LEAST,
        required=0.0,
        base=0.05 - limit if is_floor else limit + 0.05,
        rates=rates,
        worst=0.3,
        squares=0.04,
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


def conditions(shop, wanted):
    return conditions_of(wanted, shop.limits)


def picked(found, wanted, basis, prefer):
    """What the solver takes, tangents and all."""
    shop = shop_of(found)
    return shop, choose(shop, conditions(shop, wanted), basis, prefer)


class NoGaps:
    """Where no layout is placed no gap is measured."""

    watched = ()


def at_odds(shop, wanted, basis, **more):
    return Contradicting(shop, conditions(shop, wanted), Known(NoGaps(), basis)).found(**more)


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
        assert at_odds(shop, wanted, basis).rows
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
    floor = least(found, conditions_of(wanted, ()), basis)
    for height, _ in every_choice(found, wanted, basis):
        assert floor is not None
        assert height / len(found[0].parts) >= floor["a"].height - 1e-6


def impossible(found, wanted, basis, titles):
    """Whether no stack at all keeps to the needs and limits named, by trying them: the counts run up to a bound that
    is beyond every need here."""
    (each,) = found
    kept = [need for need in wanted if need.title in titles]
    limits = [limit for limit in shop_of(found).limits if limit.title in titles]
    sizes = [size for size, _ in each.stock]
    for counts in product(range(BEYOND), repeat=len(sizes)):
        number = sum(counts)
        if number == 0 or not all(
            sum(limit.columns.get(k, 0.0) * count for k, count in enumerate(counts)) <= limit.most for limit in limits
        ):
            continue
        height = sum(size * count for size, count in zip(sizes, counts, strict=True))
        if all(need.margin(basis, {"a": each}, {"a": height}, {"a": number}) >= -1e-6 for need in kept):
            return False
    return True


BEYOND = 24
"""So many pieces of any one size are more than the needs here can ask for."""


@settings(max_examples=50, deadline=None)
@given(st.data(), BASES)
def test_a_contradiction_is_the_smallest_set_that_cannot_hold(data, basis):
    found = [data.draw(heights("a"))]
    wanted = [data.draw(bounds(f"need {k}", ["a"])) for k in range(3)]
    shop, picks = picked(found, wanted, basis, "least height")
    if picks is not None:
        return
    contradiction = at_odds(shop, wanted, basis)
    titles = {row.what for row in contradiction.rows}
    assert contradiction.is_smallest
    assert impossible(found, wanted, basis, titles)
    # No set of fewer contradicts, and so neither does this one with any of it left out.
    every = [*(need.title for need in wanted), *(limit.title for limit in shop.limits)]
    for size in range(len(titles)):
        assert not any(impossible(found, wanted, basis, some) for some in combinations(every, size))


@settings(max_examples=40, deadline=None)
@given(st.data(), BASES)
def test_a_set_that_is_not_proven_smallest_still_has_nothing_to_spare(data, basis):
    found = [data.draw(heights("a"))]
    wanted = [data.draw(bounds(f"need {k}", ["a"])) for k in range(3)]
    shop, picks = picked(found, wanted, basis, "least height")
    if picks is not None:
        return
    contradiction = at_odds(shop, wanted, basis, most_ways=0)
    titles = {row.what for row in contradiction.rows}
    assert not contradiction.is_smallest
    assert impossible(found, wanted, basis, titles)
    assert not any(impossible(found, wanted, basis, titles - {one}) for one in titles)


@settings(max_examples=60, deadline=None)
@given(st.data(), BASES)
def test_a_demand_gives_way_by_what_the_best_stack_lacks(data, basis):
    """Root-sum-square and tolerances of each piece included: no stack that keeps the rest lacks less of it."""
    found = [data.draw(heights("a"))]
    wanted = [data.draw(bounds(f"need {k}", ["a"])) for k in range(3)]
    shop, picks = picked(found, wanted, basis, "least height")
    if picks is not None:
        return
    (each,) = found
    rows = at_odds(shop, wanted, basis).rows
    if not {limit.title for limit in shop.limits} <= {row.what for row in rows}:
        return  # Then stacks beyond the limits count too, and there is no end of them.
    for row in rows:
        kept = [need for need in wanted if need.title in {other.what for other in rows} - {row.what}]
        giving = [need for need in wanted if need.title == row.what]
        lacks = [
            max([0.0, *(-need.margin(basis, {"a": each}, {"a": sum(pieces)}, {"a": len(pieces)}) for need in giving)])
            for pieces in stacks(each)
            if all(need.margin(basis, {"a": each}, {"a": sum(pieces)}, {"a": len(pieces)}) >= -1e-6 for need in kept)
        ]
        if giving:
            assert row.by == pytest.approx(min(lacks), abs=3e-6)


@st.composite
def ranges(draw, name):
    """From a least height up to a greatest one, for one support."""
    least_height, more = draw(st.integers(2, 9)), draw(st.integers(1, 6))
    return [
        Need(
            title=f"need {name} {rate:+g}",
            check="clear height",
            parts=(),
            state="",
            sense=Sense.AT_LEAST,
            required=0.0,
            base=limit + 0.05,
            rates={name: rate},
            own=(Own(of=name, share=1.0, falls=rate > 0),),
        )
        for rate, limit in ((1.0, -least_height), (-1.0, least_height + more))
    ]


@settings(max_examples=40, deadline=None)
@given(st.data(), st.sampled_from([WORST, RSS]))
def test_no_choice_has_fewer_different_heights(data, basis):
    """Three supports, each with a range of its own and two with a common demand, against every choice."""
    names = ["a", "b", "c"]
    found = [replace(data.draw(heights(name)), at_most_pieces=3, per_piece=(0.1, 0.1)) for name in names]
    found = [
        replace(each, stock=tuple((size, None) for size in sorted({3.0, *(size for size, _ in each.stock)})))
        for each in found
    ]
    wanted = [need for name in names for need in data.draw(ranges(name))]
    if data.draw(st.booleans()):
        wanted.append(data.draw(bounds("shared", names[:2])))
    shop, picks = picked(found, wanted, basis, "least height")
    if picks is None:
        return
    solved = Solved(
        found=tuple(found),
        shop=shop,
        picks=picks,
        conditions=tuple(conditions(shop, wanted)),
        known=Known(FreeGaps(), basis),
        least={},
        placed=None,
    )
    fewer = fewest_heights(solved, "least height")
    by_name = {each.name: each for each in found}
    kept = []
    for chosen in product(*(list(stacks(each)) for each in found)):
        reached = {name: sum(pieces) for name, pieces in zip(names, chosen, strict=True)}
        count = {name: len(pieces) for name, pieces in zip(names, chosen, strict=True)}
        if all(need.margin(basis, by_name, reached, count) >= -1e-6 for need in wanted):
            total = sum(reached[name] * len(by_name[name].parts) for name in names)
            kept.append((len(set(reached.values())), total))
    number, total = min(kept)
    own = picks if fewer is None else fewer.picks
    assert len({pick.height for pick in own.values()}) == number
    if fewer is not None:
        # Of choices with as few heights, the lowest.
        assert len(fewer.blocks) == number < len({pick.height for pick in picks.values()})
        assert sum(pick.height * len(by_name[name].parts) for name, pick in own.items()) == pytest.approx(total)


class FreeGaps(NoGaps):
    """A layout without gap rules."""

    def placed(self, picks):
        return None

    def unmet(self, *_, **__):
        return []


DUCT = """
    parts:
      floor: {role: enclosure, change: retained, shape: {box: [300, 300, 5]}, low_corner: [0, 0, -5]}
      duct: {role: duct, change: retained, shape: {box: [40, 300, 6 ± 0.5]}, low_corner: [SIDE, 0, 0]}
      shelf: {role: bracket, change: retained, shape: {box: [40, 300, 2]}, low_corner: [104, 0, TALL]}
      pad: {role: spacer, change: new, shape: {box: [100, 80, 5]}, low_corner: [0, 20, 0]}
      m1:
        {role: module, change: new, shape: {box: [100, 80, 4 ± 0.3]},
         place: {front: flush with pad, left: flush with pad, bottom: on pad}}
    gaps:
      - {between: [m1, duct], at_least: GAP}
      - {between: [m1, shelf], at_least: GAP}
    heights:
      find:
        pad: {stock: [2, 3.5, 9], at_most_pieces: PIECES, piece_tolerance: 0.15}
      so_that: [{clear_height: [floor, m1], at_least: 2.5}]
      judge_by: BASIS
"""


@settings(max_examples=20, deadline=None)
@given(
    st.sampled_from([98, 101, 104]),
    st.integers(14, 36),
    st.integers(2, 9),
    st.integers(1, 4),
    st.sampled_from([WORST, RSS]),
)
def test_no_lower_stack_clears_what_stands_beside(side, tall, gap_asked, pieces, basis):
    """Over a duct or under a shelf, or between the two: every stack is put into the layout and measured."""
    text = DUCT.replace("SIDE", str(side)).replace("TALL", str(tall)).replace("GAP", str(gap_asked))
    text = text.replace("PIECES", str(pieces)).replace("BASIS", basis)
    written = study(f"    judge_by: {basis}\n{text}")
    found = solve(written)
    kept: dict[frozenset[str], float] = {}
    for stack in stacks(found.found[0]):
        picks = {"pad": Pick(height=sum(stack), pieces=stack)}
        placed = Study(with_heights(written.layout, found.found, picks), written.meshes)
        if any(one.status is not Status.MET for one in clear_height.check(placed)):
            continue
        unmet = frozenset(
            next(name for name in one.parts if name != "m1")
            for one in gap.check(placed, Build.PROPOSED)
            if one.status is not Status.MET
        )
        kept[unmet] = min(kept.get(unmet, math.inf), sum(stack))
    if found.placed is None:
        # Only what stands above or below can be at odds with a demand, and then no stack keeps it.
        assert frozenset() not in kept
        return
    aside = {name for beyond in found.beyond for name in beyond.condition.parts} - {"m1"}
    assert found.picks["pad"].height == min(height for unmet, height in kept.items() if unmet <= aside)
    # Nothing is left aside that some stack would keep together with all that is kept.
    assert not any(unmet < aside for unmet in kept)


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
