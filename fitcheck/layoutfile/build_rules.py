"""Gap rules, contacts and concessions as written to the model."""

from __future__ import annotations

import re
from collections.abc import Collection
from datetime import date

from fitcheck.layoutfile.desk import Desk
from fitcheck.layoutfile.fields import nearest
from fitcheck.layoutfile.sections import Document
from fitcheck.layoutfile.tree import Path
from fitcheck.model.part import ROLES
from fitcheck.model.rules import Concession, GapRule, Selector
from fitcheck.units import LENGTH

ANYTHING = "anything"
EVERY = "every "
_DAY = re.compile(r"[0-9]{4}-[0-9]{2}-[0-9]{2}")


def selector_of(desk: Desk, word: str, path: Path) -> Selector:
    """A part name, `every ROLE` or `anything`; a name of nothing is a problem."""
    if word == ANYTHING:
        return Selector()
    if word.startswith(EVERY):
        role = word[len(EVERY) :].strip()
        if role not in ROLES:
            desk.problem(desk.value_at(path), f"there is no role {role!r}", nearest(role, ROLES))
        return Selector(role=role)
    if word not in desk.part_names:
        choices = (*desk.part_names, *(EVERY + role for role in ROLES), ANYTHING)
        desk.problem(desk.value_at(path), f"there is no part {word!r}", _mend(word, choices, desk.part_names))
    return Selector(part=word)


def _mend(word: str, choices: tuple[str, ...], parts: Collection[str]) -> str:
    mend = nearest(word, choices)
    return mend if mend.startswith("did you mean") else f"{nearest(word, parts)}; or every ROLE, or anything"


def gap_rules(desk: Desk, document: Document) -> tuple[GapRule, ...]:
    rules = []
    for number, written in enumerate(document.gaps):
        path: Path = ("gaps", number)
        one, other = (selector_of(desk, word, (*path, "between", end)) for end, word in enumerate(written.between))
        if one.part is not None and one == other:
            desk.problem(desk.value_at((*path, "between")), f"{one.part!r} with itself", "name two different parts")
        rules.append(
            GapRule(
                between=(one, other),
                at_least=desk.exact(written.at_least, LENGTH, f"gaps.{number + 1}.at_least", (*path, "at_least")),
                because=written.because or "",
                at=desk.value_at(path),
            )
        )
    return tuple(rules)


def contacts(desk: Desk, document: Document) -> tuple[tuple[str, str], ...]:
    return tuple(pair_of(desk, pair, ("contacts", number)) for number, pair in enumerate(document.contacts))


def pair_of(desk: Desk, names: list[str], path: Path) -> tuple[str, str]:
    """Two different parts."""
    one, other = (desk.part(name, (*path, end)) for end, name in enumerate(names))
    if one == other:
        desk.problem(desk.value_at(path), f"{one!r} with itself", "name two different parts")
    return one, other


def concessions(desk: Desk, document: Document) -> tuple[Concession, ...]:
    found = []
    for number, written in enumerate(document.concessions):
        path: Path = ("concessions", number)
        names = tuple(desk.part(name, (*path, "parts", k)) for k, name in enumerate(written.parts))
        down_to = desk.exact(written.down_to, LENGTH, f"concessions.{number + 1}.down_to", (*path, "down_to"))
        if written.check == "gap" and down_to.low < 0.0:
            what = f"a gap conceded down to {down_to.low:g}: that is an overlap, and no concession allows one"
            desk.problem(desk.value_at((*path, "down_to")), what, "write 0 or more")
        found.append(
            Concession(
                check=written.check,
                parts=names,
                down_to=down_to,
                because=written.because,
                signed=written.signed,
                date=_date(desk, written.date, (*path, "date")),
                at=desk.value_at(path),
            )
        )
    return tuple(found)


def _date(desk: Desk, written: str, path: Path) -> str:
    """A day of the calendar as ISO 8601 writes it; any other is a problem."""
    try:
        # Python reads other ISO forms too, such as weeks; few people do.
        known = _DAY.fullmatch(written) is not None and date.fromisoformat(written) is not None
    except ValueError:
        known = False
    if not known:
        what = f"{written!r} is no day of the calendar written year-month-day"
        desk.problem(desk.value_at(path), what, "write the day it was signed, such as 2026-03-02")
    return written
