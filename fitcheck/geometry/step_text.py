"""The text of a STEP file (ISO 10303-21, "part 21"): its records by number, their parameters, and strings decoded.

Only the few records that tell of units and products are kept; the geometry is left to the library that cuts it.
"""

from __future__ import annotations

import re
from collections.abc import Iterator, Mapping
from dataclasses import dataclass

from fitcheck.geometry.meshfile_raw import BYTE_ORDER_MARK

RECORD = re.compile(rb"#(\d+)\s*+=\s*+((?:[^';]++|'[^']*+')*+);")
"""One record; a quote inside a string is written twice, so that a string and the next begin and end alike."""

REMARK = re.compile(rb"('[^']*+')|/\*.*?\*/", re.DOTALL)
WORD = re.compile(rb"[^'A-Z]*+(?:'[^']*+'|([A-Z][A-Z0-9_]*+)\s*+\(|[A-Z])")
"""A string, passed over, or the name of an entity."""

PIECE = re.compile(rb"'[^']*+'|[(),]|[^'(),]++")

SECTION = re.compile(rb"^\s*DATA\s*\((?:[^';]++|'[^']*+')*+;", re.MULTILINE)
"""The beginning of the data with a name and a schema of its own, as edition 3 of the format has it."""

KEPT = re.compile(
    rb"\w*_UNIT|GEOMETRIC_REPRESENTATION_CONTEXT|PRODUCT|PRODUCT_DEFINITION\w*|NEXT_ASSEMBLY_USAGE_OCCURRENCE"
)
"""The records that are asked for later."""

ESCAPE = re.compile(
    r"''|\\\\|\\S\\(.)|\\X\\([0-9A-F]{2})|\\X2\\((?:[0-9A-F]{4})*)\\X0\\|\\X4\\((?:[0-9A-F]{8})*)\\X0\\"
)


@dataclass(frozen=True, kw_only=True, eq=False)
class StepText:
    """`data` is the text without remarks, in UTF-8. `words` are the names of all entities in it, `highest` is the
    highest number of a record. `places` tells where the contents of those records begin and end that tell of units and
    products.
    """

    data: bytes
    words: frozenset[bytes]
    highest: int
    places: Mapping[int, tuple[int, int]]

    def entity(self, number: int | None) -> dict[bytes, list[bytes]]:
        """Parameters by entity name: one name, or several for a record that is of several kinds at once; empty for a
        record that is not there or is not kept.
        """
        start, end = self.places.get(-1 if number is None else number, (0, 0))
        return dict(members(self.data[start:end]))


def step_text(data: bytes) -> StepText:
    """Sort out the text of a STEP file."""
    data = _in_utf8(without_remarks(data.removeprefix(BYTE_ORDER_MARK)))
    data = SECTION.sub(b"DATA;", data) if len(SECTION.findall(data)) == 1 else data
    kept: dict[bytes, bool] = {}
    places: dict[int, tuple[int, int]] = {}
    highest = 0
    for found in RECORD.finditer(data):
        number, of_use = int(found[1]), False
        highest = max(highest, number)
        for word in WORD.findall(found[2]):
            if word not in kept:
                kept[word] = bool(KEPT.fullmatch(word))
            of_use = of_use or kept[word]
        if of_use:
            places[number] = found.span(2)
    return StepText(data=data, words=frozenset(kept) - {b""}, highest=highest, places=places)


def without_remarks(data: bytes) -> bytes:
    """The text with each remark as a blank; what looks like one inside a string stays."""
    return REMARK.sub(lambda found: found[1] or b" ", data) if b"/*" in data else data


def _in_utf8(data: bytes) -> bytes:
    """Bytes that are no UTF-8 are taken for Latin-1, as older programs write it; the geometry has none of them."""
    if data.isascii():
        return data
    try:
        data.decode("utf-8")
    except UnicodeDecodeError:
        return data.decode("latin-1").encode("utf-8")
    return data


def members(body: bytes) -> Iterator[tuple[bytes, list[bytes]]]:
    """(name, parameters) of each entity of a record; parameters are texts, outer blanks removed."""
    depth, level = 0, 0
    name, parameters = b"", [b""]
    for found in PIECE.finditer(body):
        piece = found[0]
        depth += (piece == b"(") - (piece == b")")
        if not level:
            if piece == b"(" and name:
                level, parameters = depth, [b""]
            else:  # a bracket without a name before it holds the members of a record of several kinds
                name = piece.strip(b"() \t\r\n")
        elif depth < level:
            yield name, [each.strip() for each in parameters]
            level, name = 0, b""
        elif piece == b"," and depth == level:
            parameters.append(b"")
        else:
            parameters[-1] += piece


def reference(parameter: bytes) -> int | None:
    """The number of the record that a parameter names, None where it names none."""
    found = re.fullmatch(rb"#(\d+)", parameter.strip())
    return int(found[1]) if found else None


def string(parameter: bytes) -> str:
    """A string decoded, "" where the parameter is none: doubled quotes and the escapes for letters beyond ASCII."""
    if len(parameter) < 2 or not parameter.startswith(b"'"):
        return ""
    return ESCAPE.sub(_letter, parameter[1:-1].decode("utf-8", errors="replace"))


def _letter(found: re.Match[str]) -> str:
    upper, one, two, four = found.groups()
    if upper is not None:
        return chr(ord(upper) | 0x80)
    digits, coding = next(
        ((digits, coding) for digits, coding in ((one, "latin-1"), (two, "utf-16-be"), (four, "utf-32-be")) if digits),
        ("", ""),
    )
    if digits:
        return bytes.fromhex(digits).decode(coding, errors="replace")
    return {"''": "'", "\\\\": "\\"}.get(found[0], "")
