"""What the workshop makes, and what is to be settled first, in words for the study page."""

from __future__ import annotations

from collections.abc import Sequence

from fitcheck.report.look import Look
from fitcheck.report.workshop.dimensions import number, with_any_band
from fitcheck.report.workshop.made import Made
from fitcheck.report.workshop.shop_words import NOT_STATED


def section(made: Sequence[Made], look: Look) -> list[str]:
    """A table of all of it, then what is open, then what else the shop must know of what is not cut flat."""
    if not made:
        return []
    head = ("what", "for", "how", "material", "files in the folder", "quantity", "size [mm]")
    rows = [
        (each.name, _for(each), each.how, each.material or NOT_STATED, each.stem, str(each.quantity), _size(each))
        for each in made
    ]
    lines = look.table(head, rows, left=5)
    open_ones = _open(made)
    if open_ones:
        lines += look.heading("To settle before it is made")
        lines += _listed([f"{', '.join(names)}: {text}" for text, names in open_ones.items()], look)
    not_flat = [f"{each.name}: {'; '.join(each.says)}" for each in made if each.how == "by its drawing"]
    if not_flat:
        lines += look.heading("Not one flat piece")
        lines += _listed(not_flat, look)
    return lines


def _open(made: Sequence[Made]) -> dict[str, list[str]]:
    """What is open, each said once, with the names of the files that it speaks of."""
    found: dict[str, list[str]] = {}
    for each in made:
        for text in each.sourced:
            found.setdefault(text, []).append(each.stem)
    return found


def _listed(texts: Sequence[str], look: Look) -> list[str]:
    return [line for text in texts for line in look.paragraph(f"- {text}", indent="  ", hang="    ")]


def _for(made: Made) -> str:
    if made.kind == "part":
        return "" if made.for_parts == (made.name,) else ", ".join(made.for_parts)
    return made.kind


def _size(made: Made) -> str:
    if made.third is None or made.size is None:
        return "see its drawing"
    return f"{number(made.size[0])} × {number(made.size[1])} × {with_any_band(made.third)}"
