"""A tree to a validated document, with every problem at its place.

What is wrong is taken out and the rest validated again, so that problems of the later passes (names, faces, placing)
are told in the same run. Only the first round speaks: later ones hear the consequences of what was taken out.
"""

from __future__ import annotations

import difflib
from collections.abc import Iterable, Iterator, Sequence
from dataclasses import dataclass

from pydantic import ValidationError
from pydantic_core import ErrorDetails

from fitcheck.errors import Problem
from fitcheck.layoutfile.fields import nearest
from fitcheck.layoutfile.schema import exact_count, known_keys
from fitcheck.layoutfile.sections import Document
from fitcheck.layoutfile.tree import (
    Item,
    Path,
    Row,
    Scalar,
    at_path,
    doubtful_paths,
    key_mark,
    plain,
    prune,
    real_path,
    value_mark,
)


@dataclass(frozen=True, slots=True, kw_only=True)
class Validated:
    """`document` None where nothing is left to go on with; `taken_out` are the paths of what was wrong."""

    document: Document | None
    problems: tuple[Problem, ...]
    taken_out: tuple[Path, ...]


def validate(root: Item) -> Validated:
    """Validate the tree; it is pruned on the way."""
    problems: list[Problem] = []
    taken_out: list[Path] = []
    for path in doubtful_paths(root):
        if isinstance(at_path(root, path), Row):
            taken_out.append(path)
            prune(root, path)
        else:
            taken_out.append((*path, "<<"))
    for path in _without_value(root, ()):
        mend = f"write a value, or take the {'key' if isinstance(path[-1], str) else 'entry'} away"
        step = path[-1]
        what = f"{step!r} has no value" if isinstance(step, str) else f"entry {step + 1} of this list has no value"
        problems.append(Problem(key_mark(root, path), what, mend))
        taken_out.append(path)
        prune(root, path)
    spoke = False
    while True:
        try:
            document = Document.model_validate(plain(root))
        except ValidationError as failure:
            errors = failure.errors(include_url=False)
        else:
            return Validated(document=document, problems=tuple(problems), taken_out=tuple(taken_out))
        if not spoke:
            problems += _problems(root, errors, taken_out)
            spoke = True
        paths = _to_take_out(root, errors)
        taken_out += paths
        if () in paths:
            return Validated(document=None, problems=tuple(problems), taken_out=tuple(taken_out))
        for path in paths:
            prune(root, path)


def _to_take_out(root: Item, errors: Iterable[ErrorDetails]) -> list[Path]:
    """What is wrong, last in the file first, so that numbers of list items stay true while it is taken out."""
    paths = {real_path(root, error["loc"]) for error in errors}
    return sorted(paths, key=lambda path: (key_mark(root, path), len(path)), reverse=True)


def _problems(root: Item, errors: Sequence[ErrorDetails], taken_out: Sequence[Path]) -> Iterator[Problem]:
    misspelt = {error["loc"] for error in errors if error["type"] == "extra_forbidden"}
    for error in errors:
        location = error["loc"]
        if error["type"] == "missing":
            path = (*real_path(root, location[:-1]), location[-1])
            if path not in taken_out and not _misspelt(location, misspelt):
                yield _missing(root, location)
        elif error["type"] == "extra_forbidden":
            key = str(location[-1])
            mend = nearest(key, known_keys(real_path(root, location)[:-1]))
            yield Problem(key_mark(root, location), f"unknown key {key!r}", mend)
        elif not (error["type"] == "too_short" and _lost_entries(real_path(root, location), taken_out)):
            yield _other(root, error)


def _lost_entries(path: Path, taken_out: Sequence[Path]) -> bool:
    """Whether a list is short only because an entry was taken out of it."""
    return any(taken[:-1] == path for taken in taken_out)


def _misspelt(location: Sequence[str | int], unknown: Iterable[tuple[str | int, ...]]) -> bool:
    """Whether a missing key stands there under a name that is nearly right."""
    near = [str(other[-1]) for other in unknown if other[:-1] == tuple(location[:-1])]
    return bool(difflib.get_close_matches(str(location[-1]), near, n=1, cutoff=0.6))


def _missing(root: Item, location: Sequence[str | int]) -> Problem:
    path = real_path(root, location[:-1])
    key = location[-1]
    what = f"{path[-1]!r} has no {key!r}" if path and isinstance(path[-1], str) else f"no {key!r} here"
    return Problem(key_mark(root, path), what, f"add {key}: …")


def _other(root: Item, error: ErrorDetails) -> Problem:
    location, context = error["loc"], error.get("ctx", {})
    at = key_mark(root, location) if "[key]" in location else value_mark(root, location)
    match error["type"]:
        case "layout":
            return Problem(at, context["what"], context["mend"])
        case "too_short" | "too_long":
            return Problem(at, *_wrong_count(error, exact_count(real_path(root, location))))
        case "list_type":
            return Problem(at, "a list is needed here", "write [ … , … ]")
        case "dict_type" | "model_type" | "model_attributes_type":
            return Problem(at, "a mapping is needed here", "write key: value, one a line or in braces")
    return Problem(at, error["msg"], "see the JSON Schema (`fitcheck schema`)")


def _wrong_count(error: ErrorDetails, exactly: int | None) -> tuple[str, str]:
    context = error.get("ctx", {})
    count = context.get("actual_length")
    if error["type"] == "too_short":
        wanted = f"at least {context.get('min_length')}"
    else:
        wanted = f"at most {context.get('max_length')}"
    if exactly is not None:
        wanted = str(exactly)
    mend = f"write {wanted}"
    if error["type"] == "too_long" and isinstance(error["input"], list):
        mend += "; if a number has a decimal comma, 12,5 is two entries: write 12.5"
    return f"{count} {'entry' if count == 1 else 'entries'} here; {wanted} needed", mend


def _without_value(item: Item, path: Path) -> list[Path]:
    """Paths of empty values, last ones first."""
    if isinstance(item, Scalar):
        return [path] if item.is_null and path else []
    below: list[tuple[str | int, Item]]
    if isinstance(item, Row):
        below = list(enumerate(item.items))
    else:
        below = [(key, value) for key, (_, value) in item.entries.items()]
    return [found for key, value in reversed(below) for found in _without_value(value, (*path, key))]
