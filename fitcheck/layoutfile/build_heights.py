"""The `heights` section as written to the model."""

from __future__ import annotations

from collections.abc import Mapping

from fitcheck.layoutfile.desk import Desk
from fitcheck.layoutfile.fields import nearest
from fitcheck.layoutfile.sections import Document
from fitcheck.layoutfile.sections_parts import FACE_WORDS
from fitcheck.layoutfile.sections_studies import DemandSection, FeetSection, FindSection
from fitcheck.layoutfile.tree import Path
from fitcheck.model.quantity import Quantity, exact
from fitcheck.model.sections import FoundHeight, HeightDemand, Heights, LevelFeet
from fitcheck.standards.stock import stock
from fitcheck.units import LENGTH, Written


def heights(desk: Desk, document: Document) -> Heights | None:
    written = document.heights
    if written is None:
        return None
    found = tuple(_find(desk, name, each) for name, each in written.find.items())
    tied = [name for each in found for name in (each.part, *each.same_for)]
    for name in sorted({name for name in tied if tied.count(name) > 1}):
        at = desk.key_at(("heights", "find"))
        desk.problem(at, f"the height of {name!r} is to be found twice", "name it once, by itself or under same_for")
    demands = [_demand(desk, number, each) for number, each in enumerate(written.so_that)]
    return Heights(
        find=found,
        so_that=tuple(demand for demand in demands if demand is not None),
        judge_by=written.judge_by or document.judge_by or "worst case",
        prefer=written.prefer or "least height",
        level_feet=tuple(_feet(desk, number, each) for number, each in enumerate(written.level_feet)),
        at=desk.key_at(("heights",)),
    )


def _find(desk: Desk, name: str, written: FindSection) -> FoundHeight:
    path: Path = ("heights", "find", name)
    called = f"heights.{name}"
    step = written.step
    if written.stock == "any" and step is None and not desk.is_damaged((*path, "step")):
        desk.problem(desk.value_at((*path, "stock")), "stock: any without a step", "add step: 0.5")
    if written.stock != "any" and step is not None:
        desk.problem(desk.key_at((*path, "step")), "a step beside a stock list", "keep one, or write stock: any")
    same_for = tuple(desk.part(other, (*path, "same_for", k)) for k, other in enumerate(written.same_for or ()))
    return FoundHeight(
        part=desk.part_key(name, path),
        stock=_stock(desk, written.stock),
        step=None if step is None else desk.plain_length(step),
        at_most_pieces=written.at_most_pieces,
        tolerance=desk.maybe(written.tolerance, LENGTH, f"{called}.tolerance", (*path, "tolerance")),
        piece_tolerance=_piece_tolerance(desk, written, called, path),
        same_for=same_for,
        at=desk.key_at(path),
    )


def _piece_tolerance(desk: Desk, written: FindSection, called: str, path: Path) -> Quantity | None:
    """What the layout states; else, unless it states the whole height's, what the stock's maker does."""
    name = f"{called}.piece_tolerance"
    if written.piece_tolerance is not None:
        return desk.exact(written.piece_tolerance, LENGTH, name, (*path, "piece_tolerance"))
    if written.tolerance is None and isinstance(written.stock, str) and written.stock != "any":
        pm = stock(written.stock).pm
        return None if pm is None else exact(name, pm, at=desk.value_at((*path, "stock")))
    return None


def _stock(desk: Desk, written: str | list[Written] | Mapping[Written, int]) -> tuple[tuple[float, int | None], ...]:
    if written == "any":
        return ()
    if isinstance(written, str):
        return tuple((size, None) for size in stock(written).sizes)
    if isinstance(written, list):
        return tuple((desk.plain_length(size), None) for size in written)
    return tuple((desk.plain_length(size), count) for size, count in written.items())


def _feet(desk: Desk, number: int, written: FeetSection) -> LevelFeet:
    path: Path = ("heights", "level_feet", number)
    if written.shims == "any":
        desk.problem(desk.value_at((*path, "shims")), "shims: any", "list the thicknesses, such as [0.1, 0.2, 0.5, 1]")
    return LevelFeet(
        under=desk.part(written.under, (*path, "under")),
        feet=tuple(desk.part(name, (*path, "feet", k)) for k, name in enumerate(written.feet)),
        within=desk.exact(written.within, LENGTH, f"heights.level_feet.{number + 1}.within", (*path, "within")),
        shims=() if written.shims is None else _stock(desk, written.shims),
        at=desk.value_at(path),
    )


def _demand(desk: Desk, number: int, written: DemandSection) -> HeightDemand | None:
    path: Path = ("heights", "so_that", number)
    called = f"heights.so_that.{number + 1}"
    if (written.clear_height is None) == (written.level is None):
        if not desk.is_damaged(path):
            desk.problem(desk.value_at(path), "neither clear_height nor level, or both", "write exactly one of them")
        return None
    limits = {
        key: desk.maybe(getattr(written, key), LENGTH, f"{called}.{key}", (*path, key))
        for key in ("at_least", "at_most", "within")
    }
    fitting = ("at_least", "at_most") if written.level is None else ("within",)
    wrong = [key for key, value in limits.items() if value is not None and key not in fitting]
    if wrong:
        desk.problem(desk.key_at((*path, wrong[0])), f"{wrong[0]} does not go with this", f"say {' or '.join(fitting)}")
    if not wrong and all(value is None for value in limits.values()) and not desk.is_damaged(path):
        desk.problem(desk.value_at(path), "no limit is stated", f"add {' or '.join(fitting)}")
    if written.level is not None:
        one, other = (_face(desk, text, (*path, "level", k)) for k, text in enumerate(written.level))
    else:
        pair = written.clear_height or []
        one, other = (desk.part(name, (*path, "clear_height", k)) for k, name in enumerate(pair))
    return HeightDemand(
        kind="clear height" if written.level is None else "level",
        between=(one, other),
        at_least=limits["at_least"],
        at_most=limits["at_most"],
        within=limits["within"],
        at=desk.value_at(path),
    )


def _face(desk: Desk, text: str, path: Path) -> str:
    """ "PART top", the part's name without the quotes that it may stand in."""
    name, _, face = text.strip().rpartition(" ")
    name = name.strip()
    if len(name) > 1 and name[0] == name[-1] and name[0] in "'\"":
        name = name[1:-1]
    if not name or face not in FACE_WORDS:
        desk.problem(
            desk.value_at(path), f"{text!r} names no face of a part", f"{nearest(face, FACE_WORDS)} (PART top)"
        )
        return text
    return f"{desk.part(name, path)} {face}"
