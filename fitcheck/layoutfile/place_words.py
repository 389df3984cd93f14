"""The words of `place`: "12 ± 1 clear of case inside front", "on pad_1", "5 past m1"."""

from __future__ import annotations

import difflib
import re
from collections.abc import Collection
from dataclasses import dataclass

from fitcheck import units
from fitcheck.layoutfile.fields import nearest
from fitcheck.layoutfile.sections_parts import FACE_WORDS
from fitcheck.units import BadValue, Written

TOUCHING = ("on", "against")

_DISTANCE_FIRST = re.compile(r"(?P<distance>.*?)\s*\b(?P<relation>clear\s+of|short\s+of|past)\s+(?P<target>.+)")
_RELATION_FIRST = re.compile(r"(?P<relation>on|against|flush\s+with)\s+(?P<target>.+)")
_RELATION_LATER = re.compile(r"[\d.].*\s(?P<relation>on|against|flush\s+with)\s+(?P<target>.+)")
_NAME = re.compile(r"\"(?P<double>[^\"]+)\"|'(?P<single>[^']+)'|(?P<bare>[\w-]+)")
_SAY = "write such as 12 clear of m1 rear, on pad_1, against m1 right, flush with m1, 5 past m1, 5 short of m1"


@dataclass(frozen=True, slots=True, kw_only=True)
class Target:
    """A part and which of its planes: `face` is a face word, "floor", "rim", or None where it is left out."""

    part: str
    inside: bool = False
    face: str | None = None


@dataclass(frozen=True, slots=True, kw_only=True)
class Words:
    """One entry of `place`, taken apart."""

    relation: str
    distance: Written | None
    target: Target


def read_words(text: str, parts: Collection[str]) -> Words:
    """Take the words apart; BadValue says what is wrong with them. `parts` are the names that may stand there."""
    plain = text.strip()
    first = _RELATION_FIRST.fullmatch(plain)
    if first:
        relation = " ".join(first["relation"].split())
        return Words(relation=relation, distance=None, target=read_target(first["target"], parts))
    found = _DISTANCE_FIRST.fullmatch(plain)
    if not found:
        raise _not_understood(plain)
    relation = " ".join(found["relation"].split())
    if not found["distance"]:
        raise BadValue(f"{relation!r} needs a distance before it", f"write 12 {plain}, or on, against, flush with")
    distance = units.read(found["distance"], units.LENGTH)
    if distance.number < 0:
        raise BadValue(f"a negative distance before {relation!r}", "say past or short of for the other way")
    return Words(relation=relation, distance=distance, target=read_target(found["target"], parts))


def read_target(text: str, parts: Collection[str]) -> Target:
    """A part's name with the words for one of its planes behind it."""
    plain = text.strip()
    found = _NAME.match(plain)
    if not found:
        raise BadValue(f"no part is named in {text!r}", "write a part's name; in quotes if it has spaces or signs")
    part = found["double"] or found["single"] or found["bare"]
    behind = plain[found.end() :].split()
    if part not in parts:
        for name in parts:
            if found["bare"] is not None and re.match(rf"{re.escape(name)}(?![\w-])", plain):
                raise BadValue(f"the part name {name!r} stands without quotes", f'write "{name}" in quotes')
        raise BadValue(f"there is no part {part!r}", nearest(part, parts))
    inside = behind[:1] == ["inside"]
    faces = behind[1:] if inside else behind
    if not faces:
        return Target(part=part, inside=inside)
    known = FACE_WORDS if inside else (*FACE_WORDS, "inside", "floor", "rim")
    if len(faces) > 1 or faces[0] not in known:
        word = " ".join(faces)
        raise BadValue(f"{word!r} is no face of a part", nearest(faces[0], known))
    return Target(part=part, inside=inside, face=faces[0])


def _not_understood(text: str) -> BadValue:
    later = _RELATION_LATER.fullmatch(text)
    if later:
        relation = " ".join(later["relation"].split())
        mend = f"write {relation} {later['target']}, or say clear of, past or short of with a distance"
        return BadValue(f"{relation!r} takes no distance", mend)
    vocabulary = ("clear", "of", "on", "against", "flush", "with", "past", "short")
    for word in text.split():
        near = difflib.get_close_matches(word, vocabulary, n=1, cutoff=0.7)
        if near and word not in vocabulary and not word[0].isdigit():
            return BadValue(f"{text!r} does not say where: {word!r} means nothing here", f"did you mean {near[0]!r}?")
    if re.fullmatch(r"[+-]?[\d.,].*", text):
        return BadValue(f"{text!r} is a number, not a place", _SAY + "; coordinates go under low_corner")
    return BadValue(f"{text!r} does not say where the face stands", _SAY)
