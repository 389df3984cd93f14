"""What there is to say of a supplier's file: in sentences for people, and the same as numbers for programs."""

from __future__ import annotations

import re
from collections.abc import Mapping, Sequence
from dataclasses import dataclass

READ_OTHERWISE = ("true", "false", "null", "yes", "no", "on", "off", "y", "n")
"""Words that some readers of YAML do not take for text."""


@dataclass(frozen=True, kw_only=True)
class Looked:
    """`lines` are plain sentences, some of them indented under the one before; `data` fits into JSON."""

    lines: tuple[str, ...]
    data: Mapping[str, object]


def plain(text: str) -> str:
    """A name from a file, without what would act on a terminal."""
    return "".join(letter if letter.isprintable() else "\N{REPLACEMENT CHARACTER}" for letter in text)


def quoted(text: str) -> str:
    """A name from a file as a layout has to write it: bare where it is a plain word, else in quotes."""
    shown = plain(text)
    if re.fullmatch(r"[A-Za-z_]\w*", shown, re.ASCII) and shown.lower() not in READ_OTHERWISE:
        return shown
    return '"' + shown.replace("\\", "\\\\").replace('"', '\\"') + '"'


def counted(count: int, what: str, many: str = "") -> str:
    return f"{count} {what}" if count == 1 else f"{count} {many or what + 's'}"


def columns(rows: Sequence[Sequence[str]]) -> list[str]:
    """Rows set one under the other, the last column ragged."""
    widths = [max(len(row[k]) for row in rows) for k in range(len(rows[0]))]
    return ["  ".join(cell.ljust(width) for cell, width in zip(row, widths, strict=True)).rstrip() for row in rows]
