"""The kinds of entries that a layout is made of: values, words, names, and how each looks in the JSON Schema.

Every scalar comes as text. A type here turns it into what the layout means, or raises a PydanticCustomError whose
context holds `what` is wrong and how to `mend` it.
"""

from __future__ import annotations

import difflib
from abc import ABC, abstractmethod
from collections.abc import Iterable, Sequence
from dataclasses import dataclass
from typing import Annotated, Any

from pydantic import BaseModel, ConfigDict, Discriminator, Field, GetCoreSchemaHandler, GetJsonSchemaHandler
from pydantic_core import PydanticCustomError, core_schema

LONGEST_NAME = 60
AXES = ("x", "y", "z")


class Section(BaseModel):
    """A mapping of the layout: unknown keys are refused, and nothing changes once read."""

    model_config = ConfigDict(extra="forbid", frozen=True, arbitrary_types_allowed=True)


def refused(what: str, mend: str) -> PydanticCustomError:
    """The one error type that the types here raise."""
    return PydanticCustomError("layout", "{what}; {mend}", {"what": what, "mend": mend})


def nearest(word: str, known: Iterable[str]) -> str:
    """How to mend a word that is none of the known: the nearest one, or all of them."""
    words = list(known)
    folded = {each.casefold(): each for each in words}
    near = difflib.get_close_matches(word.casefold(), list(folded), n=1, cutoff=0.6)
    if near:
        return f"did you mean {folded[near[0]]!r}?"
    if not words:
        return "there is none to choose from"
    shown = ", ".join(words[:30])
    return f"write one of: {shown}" + (", …" if len(words) > 30 else "")


def scalar(raw: object, what: str) -> str:
    """The text of a scalar; a mapping, a list or nothing is refused."""
    if isinstance(raw, str):
        return raw
    if raw is None:
        raise refused(f"no value here; {what} is needed", "write one, or take the key away")
    shape = "a mapping" if isinstance(raw, dict) else "a list"
    raise refused(f"{shape} here; {what} is needed", f"write {what}")


class Reads(ABC):
    """Base of the annotations here: reads one raw entry, and says how it looks in the JSON Schema."""

    @abstractmethod
    def read(self, raw: object) -> object:
        """The value of one raw entry; raises what `refused` makes for one that cannot be read."""

    @abstractmethod
    def schema(self) -> dict[str, Any]:
        """What an editor is told about the entry."""

    def __get_pydantic_core_schema__(self, source: object, handler: GetCoreSchemaHandler) -> core_schema.CoreSchema:
        return core_schema.no_info_before_validator_function(self.read, core_schema.any_schema())

    def __get_pydantic_json_schema__(
        self, core: core_schema.CoreSchema, handler: GetJsonSchemaHandler
    ) -> dict[str, Any]:
        return {**self.schema(), **handler(core)}  # the handler brings the descriptions and examples of a Field


# --- words and names --------------------------------------------------------------------------------------------------


def one_of(raw: object, known: Sequence[str]) -> str:
    """One of the known words."""
    word = scalar(raw, "a word").strip()
    if word in known:
        return word
    raise refused(f"unknown word {word!r}", nearest(word, known))


@dataclass(frozen=True)
class OneOf(Reads):
    """A word of a closed list; those that are whole numbers may stand as numbers in other formats."""

    known: tuple[str, ...]

    def read(self, raw: object) -> str:
        return one_of(raw, self.known)

    def schema(self) -> dict[str, Any]:
        return {"enum": [*self.known, *(int(word) for word in self.known if word.isdecimal())]}


@dataclass(frozen=True)
class AnyText(Reads):
    """A text, kept as written; a number is its own text."""

    def read(self, raw: object) -> str:
        return scalar(raw, "text").strip()

    def schema(self) -> dict[str, Any]:
        return {"type": ["string", "number"]}


@dataclass(frozen=True)
class OneLineName(Reads):
    """The name of a part, a shape, a screw."""

    def read(self, raw: object) -> str:
        name = scalar(raw, "a name")
        problem = name_problem(name)
        if problem:
            raise refused(problem, f"write one line of 1 to {LONGEST_NAME} characters")
        return name

    def schema(self) -> dict[str, Any]:
        return {"type": ["string", "number", "boolean"], "minLength": 1, "maxLength": LONGEST_NAME}


@dataclass(frozen=True)
class WholeNumber(Reads):
    """A whole number above zero."""

    def read(self, raw: object) -> int:
        text = scalar(raw, "a whole number").strip()
        if not text.isascii() or not text.isdecimal() or int(text) == 0:
            raise refused(f"{text!r} is no whole number above zero", "write 1, 2, 3, …")
        return int(text)

    def schema(self) -> dict[str, Any]:
        return {"type": "integer", "minimum": 1}


def name_problem(name: str) -> str:
    """What is wrong with a part's name; empty when nothing is."""
    if not name.strip():
        return "an empty name"
    if len(name) > LONGEST_NAME:
        return f"a name of {len(name)} characters; at most {LONGEST_NAME} are allowed"
    if any(sign < " " or sign in "\x7f\x85\u2028\u2029" for sign in name):
        return f"the name {name!r} has more than one line, or a sign that cannot be shown"
    if name != name.strip():
        return f"the name {name!r} starts or ends with a space"
    if name == "anything" or name.startswith("every "):
        return f"the name {name!r} means a choice of parts in rules"
    return ""


Text = Annotated[str, AnyText()]
Name = Annotated[str, OneLineName()]
Count = Annotated[int, WholeNumber()]
AxisWord = Annotated[str, OneOf(AXES)]
Names = Annotated[list[Name], Field(min_length=1)]
Pair = Annotated[list[Name], Field(min_length=2, max_length=2)]

MAPPING, LIST, TEXT = "<mapping>", "<list>", "<text>"


def by_form(*forms: str) -> Discriminator:
    """Tell an entry that may be written in several forms by what it is; the first form where it is none of them."""

    def form(raw: object) -> str:
        found = MAPPING if isinstance(raw, dict) else LIST if isinstance(raw, list) else TEXT
        return found if found in forms else forms[0]

    return Discriminator(form)
