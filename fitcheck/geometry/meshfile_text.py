"""Text of mesh files put into the plain form that their parser reads rightly.

The parser counts corners from the end of an OBJ file wrongly once the file has several objects, takes tabs there for
no blanks at all, joins the line after a remark that ends in a backslash to it, and cuts OFF faces of up to four corners
only.
"""

from __future__ import annotations

import re
from collections.abc import Iterator
from itertools import pairwise

REMARK = re.compile(rb"#[^\r\n]*+")
JOINED = re.compile(rb"\\\r?\n")
"""A backslash carries an OBJ line on to the next; at the end of a remark, as in a path, it means nothing."""

FROM_END = re.compile(rb"^[ \t]*f[ \t][^\r\n]*?[ \t]-[0-9]", re.MULTILINE)


def plain_text(kind: str, data: bytes) -> bytes:
    """`kind` is the file's suffix without the dot; data of other kinds than OBJ and OFF stay as they are."""
    if kind == "obj":
        data = JOINED.sub(b" ", REMARK.sub(b"", data)).replace(b"\t", b" ")
        return b"\n".join(_from_start(data)) if FROM_END.search(data) else data
    if kind == "off":
        return b"\n".join(_in_triangles(data)) + b"\n"
    return data


def _from_start(data: bytes) -> Iterator[bytes]:
    """OBJ lines with corners counted from the start: -1 is the last corner before the face."""
    counts = {b"v": 0, b"vt": 0, b"vn": 0}
    for line in data.splitlines():
        words = line.split()
        if words and words[0] in counts:
            counts[words[0]] += 1
        if not words or words[0] != b"f":
            yield line
            continue
        totals = tuple(counts.values())
        corners = (
            b"/".join(
                b"%d" % (total + 1 + int(index)) if index.startswith(b"-") else index
                for index, total in zip(word.split(b"/"), totals, strict=False)
            )
            for word in words[1:]
        )
        yield b"f " + b" ".join(corners)


def _in_triangles(data: bytes) -> Iterator[bytes]:
    """OFF lines with faces of more than four corners cut into triangles, each from the first corner; the line of
    counts, the first or second, as the file has it, for it is what the parser goes by.
    """
    rows = [row for row in (line.split(b"#")[0].strip() for line in data.splitlines()) if row]
    first = re.match(rb"^(\w*OFF\b)\s*(.*)$", rows[0])
    if first is None:
        yield from rows
        return
    rest = ([first[2]] if first[2] else []) + rows[1:]
    corners, count = (int(word) for word in rest[0].split()[:2])
    faces: list[bytes] = []
    for row in rest[1 + corners : 1 + corners + count]:
        words = row.split()
        size = int(words[0])
        if size <= 4:
            faces.append(row)
            continue
        around = words[1 : 1 + size]
        faces += [b"3 %s %s %s" % (around[0], a, b) for a, b in pairwise(around[1:])]
    yield from (first[1], b"%d %d 0" % (corners, len(faces)), *rest[1 : 1 + corners], *faces)
