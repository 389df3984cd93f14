"""Read a layout file: text → tree with positions → validated document → model."""

from __future__ import annotations

import hashlib
from pathlib import Path

from fitcheck.errors import LayoutErrors, Mark, Problem
from fitcheck.layoutfile.build import build
from fitcheck.layoutfile.desk import Desk
from fitcheck.layoutfile.tree import Branch, Item, child
from fitcheck.layoutfile.validate import validate
from fitcheck.layoutfile.yamltext import MOST_CHARACTERS, parse
from fitcheck.model.layout import Layout

# A character takes at most four bytes in UTF-8.
_MOST_BYTES = 4 * MOST_CHARACTERS


def read_layout(path: Path, *, allow: tuple[Path, ...] = ()) -> Layout:
    """Read and build the layout of a file. `allow` are further folders that mesh files may come from.

    Raises LayoutErrors with every problem found, each with its place and how to mend it.
    """
    start = Mark(str(path), 1, 1)
    try:
        if path.stat().st_size > _MOST_BYTES:
            raise LayoutErrors([Problem(start, f"the file is larger than {_MOST_BYTES:,} bytes", "split it")])
        raw = path.read_bytes()
    except OSError as error:
        why = error.strerror or str(error)
        raise LayoutErrors([Problem(start, f"the file cannot be read: {why}", "check the path")]) from error
    try:
        text = raw.decode("utf-8-sig")
    except UnicodeDecodeError as error:
        before = raw[: error.start]
        at = Mark(str(path), before.count(b"\n") + 1, error.start - before.rfind(b"\n"))
        raise LayoutErrors([Problem(at, "the file is not UTF-8 text", "save it as UTF-8")]) from error
    return read_text(text, str(path), path.parent, allow=allow, sha256=hashlib.sha256(raw).hexdigest())


def read_text(text: str, file: str, folder: Path, *, allow: tuple[Path, ...] = (), sha256: str | None = None) -> Layout:
    """The same from text; `file` is what positions call it, `folder` where mesh files are looked for.

    `sha256` is that of the file's bytes, that of the text as UTF-8 where none is given.
    """
    root, problems = parse(text, file)
    if root is None:
        raise LayoutErrors(problems)
    if not isinstance(root, Branch):
        raise LayoutErrors([*problems, Problem(root.at, "a layout is a mapping of sections", "start with fitcheck: 1")])
    declared = _names(root)
    validated = validate(root)
    problems += validated.problems
    if validated.document is None:
        raise LayoutErrors(problems)
    desk = Desk(root=root, folders=(folder, *allow), part_names=declared, taken_out=validated.taken_out)
    digest = hashlib.sha256(text.encode()).hexdigest() if sha256 is None else sha256
    layout = build(desk, validated.document, file, digest)
    problems += desk.problems
    if problems:
        raise LayoutErrors(problems)
    return layout


def _names(root: Item) -> dict[str, None]:
    """The declared parts, in file order."""
    parts = child(root, "parts")
    return dict.fromkeys(parts.entries) if isinstance(parts, Branch) else {}
