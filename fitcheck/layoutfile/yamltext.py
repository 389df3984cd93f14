"""YAML text to a tree with positions, by events: nothing is constructed, nothing is expanded without a limit.

What YAML itself would let pass in silence is a problem here: a key written twice, a decimal comma inside braces or
brackets, a tag, a merge key.
"""

from __future__ import annotations

import re
from collections.abc import Iterator
from dataclasses import dataclass
from itertools import pairwise

import yaml

from fitcheck.errors import Mark, Problem
from fitcheck.layoutfile.tree import Branch, Item, Row, Scalar

MOST_CHARACTERS = 5_000_000
"""A layout of 5,000 parts written out in full is a quarter of this; more is not a layout."""
DEEPEST = 40
"""Nested groups of shapes need about six levels each; files deeper than this are made to overload a reader."""
MOST_COPIES = 2_000
"""Items that aliases may stand for in total, so that a few lines cannot unfold into millions (or into great depth)."""

LOADER = getattr(yaml, "CSafeLoader", yaml.SafeLoader)
# What YAML calls printable; everything else is refused with its place.
_CONTROL = re.compile("[^\t\n\r\x20-\x7e\x85\xa0-\ud7ff\ue000-\ufffd\U00010000-\U0010ffff]")
_NUMBER = re.compile(r"[+-]?(\d+(\.\d*)?|\.\d+)")
_MENDS = (
    ("cannot start any token", "indent with spaces, and put text that starts with a special character in quotes"),
    ("mapping values are not allowed", "put text that holds a colon and a space in quotes, or mend the indentation"),
    ("could not find expected ':'", "write a colon and a space after the key"),
    ("block mapping", "line the keys up under one another, and close every quote"),
    ("block collection", "line the items up under one another"),
    ("flow mapping", "close the brace } and put a comma between the entries"),
    ("flow sequence", "close the bracket ] and put a comma between the items"),
    ("quoted scalar", "close the quote"),
    ("alias", "write the value out, or take it over with `like`"),
)


class TooMuch(Exception):
    """The file is beyond a limit; reading stops. Carries the one problem."""

    def __init__(self, problem: Problem) -> None:
        super().__init__(str(problem))
        self.problem = problem


@dataclass(slots=True)
class _Open:
    """A mapping or sequence that is being filled; `key` waits for its value."""

    item: Branch | Row
    anchor: str | None
    key: Scalar | None = None
    skip: bool = False
    last: tuple[str, Scalar] | None = None


def parse(text: str, file: str) -> tuple[Item | None, list[Problem]]:
    """The tree of one YAML document and what is wrong with it; None where there is no tree to go on with."""
    start = Mark(file, 1, 1)
    if len(text) > MOST_CHARACTERS:
        return None, [Problem(start, f"the file is longer than {MOST_CHARACTERS:,} characters", "split it")]
    found = _CONTROL.search(text)
    if found:
        what = f"a character that text must not hold (code {ord(found[0]):#06x})"
        return None, [Problem(_mark_at(text, found.start(), file), what, "save the layout as plain UTF-8 text")]
    grower = _Grower(text, file)
    try:
        grower.grow(yaml.parse(text, Loader=LOADER))
    except TooMuch as stop:
        return None, [*grower.problems, stop.problem]
    except yaml.MarkedYAMLError as error:
        return None, [*grower.problems, _yaml_problem(error, file)]
    if grower.root is None:
        return None, [Problem(start, "the file is empty", "start from `fitcheck new`")]
    return grower.root, grower.problems


def _mark_at(text: str, offset: int, file: str) -> Mark:
    return Mark(file, text.count("\n", 0, offset) + 1, offset - text.rfind("\n", 0, offset))


def _yaml_problem(error: yaml.MarkedYAMLError, file: str) -> Problem:
    where = error.problem_mark or error.context_mark
    mark = Mark(file, where.line + 1, where.column + 1) if where else Mark(file, 1, 1)
    said = " ".join(part for part in (error.context, error.problem) if part)
    mend = next((mend for word, mend in _MENDS if word in said), "see that brackets, quotes and indentation match")
    return Problem(mark, f"this is not YAML: {said}", mend)


class _Grower:
    """Builds the tree from events."""

    def __init__(self, text: str, file: str) -> None:
        self.text, self.file = text, file
        self.root: Item | None = None
        self.problems: list[Problem] = []
        self._stack: list[_Open] = []
        self._anchors: dict[str, Item] = {}
        self._copies = 0

    def grow(self, events: Iterator[yaml.Event]) -> None:
        for event in events:
            if isinstance(event, yaml.ScalarEvent):
                self._scalar(event)
            elif isinstance(event, yaml.AliasEvent):
                self._alias(event)
            elif isinstance(event, yaml.CollectionStartEvent):
                self._open(event)
            elif isinstance(event, yaml.CollectionEndEvent):
                closed = self._stack.pop()
                self._look_for_commas(closed)
                self._place(closed.item, closed.anchor)
            elif isinstance(event, yaml.DocumentStartEvent) and self.root is not None:
                raise TooMuch(
                    Problem(self._mark(event), "a second document starts here", "keep one layout in one file")
                )

    def _mark(self, event: yaml.Event) -> Mark:
        where = event.start_mark
        return Mark(self.file, where.line + 1, where.column + 1) if where else Mark(self.file, 1, 1)

    def _problem(self, at: Mark, what: str, mend: str) -> None:
        self.problems.append(Problem(at, what, mend))

    def _refuse_tag(self, event: yaml.ScalarEvent | yaml.CollectionStartEvent) -> None:
        if event.tag is not None:
            self._problem(self._mark(event), f"the tag {event.tag} means nothing here", "take it away")

    def _scalar(self, event: yaml.ScalarEvent) -> None:
        self._refuse_tag(event)
        scalar = Scalar(
            text=event.value,
            at=self._mark(event),
            plain=event.style in (None, ""),
            starts=event.start_mark.index if event.start_mark else 0,
            ends=event.end_mark.index if event.end_mark else 0,
        )
        self._place(scalar, event.anchor)

    def _open(self, event: yaml.CollectionStartEvent) -> None:
        self._refuse_tag(event)
        mark = self._mark(event)
        if len(self._stack) >= DEEPEST:
            raise TooMuch(Problem(mark, f"nested deeper than {DEEPEST} levels", "write the layout flatter"))
        kind = Branch if isinstance(event, yaml.MappingStartEvent) else Row
        opened = _Open(item=kind(at=mark, flow=bool(event.flow_style)), anchor=event.anchor)
        self._stack.append(opened)

    def _alias(self, event: yaml.AliasEvent) -> None:
        mark = self._mark(event)
        kept = self._anchors.get(event.anchor or "")
        if kept is None:
            raise TooMuch(Problem(mark, f"the alias *{event.anchor} stands for nothing before it", "name an anchor"))
        self._copies += _count(kept)
        if self._copies > MOST_COPIES:
            mend = "use `shapes` and `like` instead of aliases"
            raise TooMuch(Problem(mark, f"aliases stand for more than {MOST_COPIES:,} items", mend))
        self._place(kept, None)

    def _place(self, item: Item, anchor: str | None) -> None:
        if anchor is not None:
            self._anchors[anchor] = item
        if not self._stack:
            self.root = item
            return
        top = self._stack[-1]
        if isinstance(top.item, Row):
            top.item.items.append(item)
        elif top.key is None:
            self._key(top, top.item, item)
        else:
            self._value(top, top.item, item)

    def _key(self, top: _Open, branch: Branch, item: Item) -> None:
        if not isinstance(item, Scalar):
            self._problem(item.at, "a key must be one text", "write a name before the colon")
            top.key, top.skip = Scalar(text="", at=item.at, plain=False, starts=0, ends=0), True
            return
        top.key, top.skip = item, False
        before = branch.entries.get(item.text)
        if item.text == "<<" and item.plain:
            self._problem(item.at, "merge keys (<<) are not used", "take values over with `like: PART`")
            top.skip = branch.doubtful = True
        elif before is not None:
            what = f"{item.text!r} is written twice, first on line {before[0].line}"
            self._problem(item.at, what, "keep one of the two")
            top.skip = True

    def _value(self, top: _Open, branch: Branch, item: Item) -> None:
        key, top.key = top.key, None
        if top.skip or key is None or self._split_by_comma(top, key, item):
            return
        branch.entries[key.text] = (key.at, item)
        top.last = (key.text, item) if isinstance(item, Scalar) else None

    def _split_by_comma(self, top: _Open, key: Scalar, item: Item) -> bool:
        """Whether this entry is the tail of a decimal comma: {mass: 11,9} is mass 11 and a key 9 without a value."""
        if not (top.item.flow and top.last and isinstance(item, Scalar) and item.is_null and key.plain):
            return False
        name, value = top.last
        if not (value.plain and value.text[-1:].isdigit() and key.text[:1].isdigit()):
            return False
        what = f"a decimal comma: YAML reads {name}: {value.text} and a second key {key.text!r}"
        value.text = f"{value.text}.{key.text}"  # go on with what was meant, for the sake of the other problems
        self._problem(value.at, what, f"write {value.text}")
        return True

    def _look_for_commas(self, closed: _Open) -> None:
        """[12,5, 3] is three numbers to YAML; commas with and without a space in one row are not to be trusted."""
        row = closed.item
        if not (isinstance(row, Row) and row.flow):
            return
        numbers = [item for item in row.items if isinstance(item, Scalar) and item.plain]
        if len(numbers) != len(row.items):
            return
        tight = [self.text[one.ends : two.starts] == "," for one, two in pairwise(numbers)]
        if not any(tight) or all(tight):
            return
        for (one, two), close in zip(pairwise(numbers), tight, strict=True):
            if close and _NUMBER.fullmatch(one.text) and two.text[:1].isdigit():
                what = f"{one.text},{two.text} looks like a decimal comma; YAML reads two values"
                mend = f"write {one.text}.{two.text}, or put a space after every comma"
                self._problem(one.at, what, mend)
                row.doubtful = True


def _count(item: Item) -> int:
    """How many items an item holds, itself included; a shared one counts each time it is met."""
    if isinstance(item, Scalar):
        return 1
    below = item.items if isinstance(item, Row) else [value for _, value in item.entries.values()]
    return 1 + sum(_count(each) for each in below)
