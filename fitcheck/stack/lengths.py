"""Which screw lengths fit: the window between enough thread engaged and the end of the usable thread.

    window = [grip + engagement, grip + usable depth - spare];  with a nut: [grip + nut + one pitch, no end]

The window is nominal. Beside it stands the worst case, in which the grip, the depth and the screw's own length all
come out the unkind way.
"""

from __future__ import annotations

import math
from collections.abc import Iterator, Sequence
from dataclasses import dataclass

from fitcheck.errors import OutsideTable
from fitcheck.findings import TOUCH_MM
from fitcheck.model.sections import Screw
from fitcheck.placing.forms import is_helper, root_sum_square
from fitcheck.stack.grips import Grip, grip_of
from fitcheck.standards.engagement import engagement
from fitcheck.standards.fasteners import WASHERS, Thread, head, nut, thread, washer
from fitcheck.standards.screw_lengths import AVOIDED, AVOIDED_SOURCE, PREFERRED, length_pm, lengths
from fitcheck.standards.stock import stock
from fitcheck.study import Study

PLATES = "steel sheet"
PLATE = "a plate"
SPARE_WASHER = "ISO 7089"
MOST_LISTED = 4


@dataclass(frozen=True, slots=True, kw_only=True)
class Ends:
    """(shortest, longest) length in mm; longest inf: nothing limits it."""

    low: float
    high: float

    def holds(self, length: float, pm: float = 0.0) -> bool:
        return self.low - TOUCH_MM <= length - pm and length + pm <= self.high + TOUCH_MM

    def shifted(self, by: float) -> Ends:
        return Ends(low=self.low + by, high=self.high + by)

    def spare(self, length: float, pm: float) -> float:
        return min(length - pm - self.low, self.high - length - pm)


@dataclass(frozen=True, slots=True, kw_only=True)
class Fit:
    """One screw and the lengths that fit it. `needed` is the engagement the window asks for, `published` the span that
    sources give for the material and class, None where there is none. `length` None: none fits; `opened_by` says which
    single washer or plate would change that, `addition` how thick it is and `addition_pm` how far it may be off.
    `shank` is how far plain shank would stand beyond the grip (nominal, at worst), negative where thread reaches into
    it; None where no table says how far the thread runs."""

    screw: Screw
    thread: Thread
    grip: Grip
    needed: float
    needed_below: float
    needed_above: float
    published: tuple[float, float] | None
    window: Ends
    worst: Ends
    length: float | None
    is_stated: bool
    opened_by: str
    addition: float
    addition_pm: float
    choices: tuple[tuple[str, float], ...]
    shank: tuple[float, float] | None
    notes: tuple[str, ...]

    @property
    def pm(self) -> float:
        """Half-width of the screw's own length."""
        return 0.0 if self.length is None else own_pm(self.screw, self.length)

    def narrowed(self) -> Ends:
        """The nominal lengths that hold in the worst case, the screw's own tolerance included; crossed: none do."""
        pm = own_pm(self.screw, self.window.low if self.length is None else self.length)
        return Ends(low=self.worst.low + pm, high=self.worst.high - pm)

    def engaged(self) -> tuple[float, float, float, float]:
        """(nominal, worst half-width down, up, root-sum-square half-width) of the length beyond the grip."""
        length = self.length or 0.0
        steps = [self.pm]
        for name, share in self.grip.form.terms.items():
            widest = abs(share) * max(self.grip.widths[name])
            if not is_helper(name):
                steps.append(widest)
        nominal = length - self.grip.form.nominal
        down = self.pm + self.grip.high - self.grip.form.nominal
        up = self.pm + self.grip.form.nominal - self.grip.low
        return nominal, down, up, min(root_sum_square(steps), max(down, up))


def own_pm(screw: Screw, length: float) -> float:
    """A stated tolerance of a stated length, else that of product grade A; 0 where the table has no row."""
    if screw.length is not None and not screw.length.is_exact:
        return max(screw.length.below, screw.length.above)
    try:
        return length_pm(length)
    except OutsideTable:
        return 0.0


def fit_of(study: Study, screw: Screw) -> Fit:
    """The window of one screw and what fits. Raises OutsideTable where a thread, washer, nut or engagement is in no
    table and the layout does not state it."""
    row = thread(screw.thread)
    grip = grip_of(study, screw)
    published, notes = _published(screw, row)
    needed, below, above = _needed(screw, row, published)
    nominal = grip.form.nominal
    if screw.into_nut is not None:
        beyond = nut(screw.into_nut, screw.thread).height_max + row.pitch
        window = Ends(low=nominal + beyond, high=math.inf)
        worst = Ends(low=grip.high + beyond, high=math.inf)
    else:
        depth, spare = screw.usable_depth, screw.spare
        assert depth is not None  # noqa: S101 (the reader refuses a material without it)
        keep = 0.0 if spare is None else spare.nominal
        keep_most = 0.0 if spare is None else spare.high
        window = Ends(low=nominal + needed, high=nominal + depth.nominal - keep)
        worst = Ends(low=grip.high + needed + above, high=grip.low + depth.low - keep_most)
    sold, sold_note = sold_lengths(screw, row)
    stated = screw.length
    length = stated.nominal if stated is not None else best_length(_reaching(screw, row, grip, sold), window, worst)
    openings = [] if length is not None else _openings(screw, row, sold, window, worst)
    return Fit(
        screw=screw,
        thread=row,
        grip=grip,
        needed=needed,
        needed_below=below,
        needed_above=above,
        published=published,
        window=window,
        worst=worst,
        length=length,
        is_stated=stated is not None,
        opened_by=openings[0][0] if openings else "",
        addition=openings[0][1] if openings else 0.0,
        addition_pm=openings[0][2] if openings else 0.0,
        choices=tuple((words, fitting) for words, _, _, fitting in openings[:MOST_LISTED]),
        shank=None if length is None else _shank(screw, row, grip, length),
        notes=(*notes, *_spare_note(screw), *sold_note, *_length_notes(screw, row, grip, length, sold)),
    )


def _spare_note(screw: Screw) -> tuple[str, ...]:
    if screw.into_nut is not None or screw.spare is not None:
        return ()
    return ("no spare is stated: its end may reach the very end of the usable thread; spare: 2 keeps 2 mm clear of it",)


def _needed(screw: Screw, row: Thread, published: tuple[float, float] | None) -> tuple[float, float, float]:
    """(engagement, below, above) in mm: the layout's own, else the cautious published one."""
    stated = screw.engagement
    if stated is not None:
        factor = row.diameter if stated.unit == "d" else 1.0
        return stated.nominal * factor, stated.below * factor, stated.above * factor
    if screw.into_nut is not None:
        return nut(screw.into_nut, screw.thread).height_max, 0.0, 0.0
    if screw.into_material is None:
        raise OutsideTable("nothing is stated under into: write what its thread is in, or its nut")
    if published is None:
        raise OutsideTable(f"no published engagement for {screw.into_material!r}: state one, such as engagement: 2 d")
    return published[1], 0.0, 0.0


def _published(screw: Screw, row: Thread) -> tuple[tuple[float, float] | None, tuple[str, ...]]:
    """The span that sources give, in mm, and what is to be said about it."""
    if screw.into_material is None:
        return None, ()
    try:
        span = engagement(screw.into_material, screw.property_class or "8.8")
    except OutsideTable as outside:
        return None, (f"engagement as stated: {outside}",)
    low, high = span.low_x_d * row.diameter, span.high_x_d * row.diameter
    said = f"published engagement in {screw.into_material}: {span.low_x_d:g} d ({low:g} mm)"
    if high > low:
        said += f" to {span.high_x_d:g} d ({high:g} mm), the sources disagree"
    if screw.property_class is None:
        said += "; for class 8.8, as none is stated"
    notes = [said]
    stated = screw.engagement
    if stated is None:
        notes.append("none is stated: the larger is used")
    else:
        mine = stated.nominal * (row.diameter if stated.unit == "d" else 1.0)
        if mine < high - TOUCH_MM:
            less = "both" if mine < low - TOUCH_MM else "the cautious one"
            notes.append(f"the {mine:g} mm asked for is less than {less}")
    return (low, high), tuple(notes)


def sold_lengths(screw: Screw, row: Thread) -> tuple[tuple[float, ...], tuple[str, ...]]:
    """The lengths that the head standard makes, and what is to be said where no table holds them."""
    if screw.head is None:
        return PREFERRED, ("no head standard is stated: the first-choice lengths of ISO 888 are taken",)
    try:
        return lengths(screw.head, row.name), ()
    except OutsideTable:
        return PREFERRED, (f"the lengths of {screw.head} {row.name} are in no table here: those of ISO 888 are taken",)


def best_length(sold: Sequence[float], window: Ends, worst: Ends) -> float | None:
    """The length with the most to spare in the worst case of those inside the nominal window (with an open window the
    shortest that holds at worst); None if there is none.

    >>> best_length((50.0, 60.0, 70.0), Ends(low=59.2, high=61.2), Ends(low=59.6, high=60.8))
    60.0
    """
    inside = [length for length in sold if window.holds(length)]
    if not inside:
        return None
    if math.isinf(window.high):
        return next((length for length in inside if worst.holds(length, _pm(length))), inside[0])
    return max(inside, key=lambda length: (worst.spare(length, _pm(length)), -length))


def _pm(length: float) -> float:
    try:
        return length_pm(length)
    except OutsideTable:
        return 0.0


def _openings(
    screw: Screw, row: Thread, sold: Sequence[float], window: Ends, worst: Ends
) -> list[tuple[str, float, float, float]]:
    """(words, thickness, its half-width, length) of each single washer or plate that opens a length: the washer first,
    as it is in the box, then the plates, those with the most to spare in the worst case first."""
    found = []
    for words, thickness, pm in _additions(screw, row):
        at_worst = worst.shifted(thickness)
        length = best_length(sold, window.shifted(thickness), at_worst)
        if length is not None:
            spare = at_worst.spare(length, _pm(length)) - pm
            found.append(((words == PLATE, -spare), (f"{words} {thickness:g}", thickness, pm, length)))
    return [opening for _, opening in sorted(found, key=lambda each: each[0])]


def _additions(screw: Screw, row: Thread) -> Iterator[tuple[str, float, float]]:
    has_washer = any(clamp.washer is not None for clamp in screw.clamps)
    if any(each.thread == row.name for each in WASHERS):
        spare = washer(SPARE_WASHER, row.name)
        yield "one more washer" if has_washer else "a washer", spare.thickness, spare.thickness_pm
    plates = stock(PLATES)
    for size in plates.sizes:
        yield PLATE, size, plates.pm or 0.0


def _length_notes(screw: Screw, row: Thread, grip: Grip, length: float | None, sold: Sequence[float]) -> Iterator[str]:
    if length is None:
        return
    if length not in sold:
        yield f"{length:g} is no first-choice length of {screw.head or 'ISO 888'} {row.name}"
    if length in AVOIDED:
        yield f"{length:g} is a length that {AVOIDED_SOURCE.document} advises against"
    if screw.head is None:
        return
    shank = _shank(screw, row, grip, length)
    if shank is None:
        yield f"how far the thread of {screw.head} {row.name} runs is in no table here: see that it reaches"
    elif shank[1] > TOUCH_MM:
        plain = shank[0] + grip.form.nominal
        yield (
            f"its thread is only {length - plain:g} long: {plain:g} of plain shank would stand "
            f"{shank[1]:.1f} into the thread; take one threaded to the head"
        )


def _reaching(screw: Screw, row: Thread, grip: Grip, sold: Sequence[float]) -> Sequence[float]:
    """The lengths whose thread reaches down to the grip, or all where none in the table does."""
    shanks = ((length, _shank(screw, row, grip, length)) for length in sold)
    return [length for length, shank in shanks if shank is None or shank[1] <= TOUCH_MM] or sold


def _shank(screw: Screw, row: Thread, grip: Grip, length: float) -> tuple[float, float] | None:
    """How far plain shank stands beyond the grip (nominal, at the thinnest grip); None where no table knows."""
    if screw.head is None:
        return None
    try:
        threaded = head(screw.head, row.name).thread_length
    except OutsideTable:
        return None
    plain = 0.0 if threaded is None else max(length - threaded, 0.0)
    return plain - grip.form.nominal, plain - grip.low
