"""The JSON Schema of the layout file, from the definitions that validate it, and what it tells about keys."""

from __future__ import annotations

import re
from collections.abc import Iterator, Sequence
from functools import cache
from typing import Any

from pydantic.json_schema import GenerateJsonSchema, JsonSchemaValue
from pydantic_core import core_schema

from fitcheck.layoutfile.sections import Document

_DIALECT = "https://json-schema.org/draft/2020-12/schema"


class _WithoutNull(GenerateJsonSchema):
    """A key without a value is a slip: nothing in a layout may be null."""

    def nullable_schema(self, schema: core_schema.NullableSchema) -> JsonSchemaValue:
        return self.generate_inner(schema["schema"])

    def dict_schema(self, schema: core_schema.DictSchema) -> JsonSchemaValue:
        made = super().dict_schema(schema)
        keys = self.generate_inner(schema["keys_schema"]) if "keys_schema" in schema else {}
        if "enum" in keys:
            made["propertyNames"] = {"enum": keys["enum"]}
        elif "maxLength" in keys:
            made["propertyNames"] = {key: keys[key] for key in ("minLength", "maxLength")}
        return made

    def default_schema(self, schema: core_schema.WithDefaultSchema) -> JsonSchemaValue:
        return self.generate_inner(schema["schema"])


def layout_schema() -> dict[str, Any]:
    """The JSON Schema (2020-12) of a layout file, for editors and other programs.

    It tells which keys and kinds of values may stand where; what hangs on other parts of the file (names, faces, units
    against dimensions) only the reader can judge.
    """
    schema = Document.model_json_schema(schema_generator=_WithoutNull)
    shared: dict[str, Any] = {}
    hoisted = _hoist(schema, shared)
    hoisted["$defs"] |= shared
    return {"$schema": _DIALECT, **hoisted}


def _hoist(place: Any, shared: dict[str, Any]) -> Any:
    """The same schema with each kind of value written once, under its title."""
    if isinstance(place, list):
        return [_hoist(each, shared) for each in place]
    if not isinstance(place, dict):
        return place
    if "title" in place and "anyOf" in place and "properties" not in place:
        value = {key: place[key] for key in ("title", "anyOf", "examples") if key in place}
        name = re.sub(r"\W+", "_", place["title"])
        shared[name] = value
        return {"$ref": f"#/$defs/{name}", **{key: place[key] for key in place if key not in value}}
    return {key: _hoist(each, shared) for key, each in place.items()}


@cache
def _kept() -> dict[str, Any]:
    return layout_schema()


def known_keys(location: Sequence[str | int]) -> tuple[str, ...]:
    """The keys that may stand in the mapping at a location of the layout, in the order of the format."""
    return tuple(dict.fromkeys(key for place in _places(location) for key in place.get("properties", ())))


def exact_count(location: Sequence[str | int]) -> int | None:
    """How many entries the list at a location must have, None where that is open."""
    counts = {(place.get("minItems"), place.get("maxItems")) for place in _places(location) if "items" in place}
    least, most = counts.pop() if len(counts) == 1 else (None, None)
    return least if least == most else None


def _places(location: Sequence[str | int]) -> list[dict[str, Any]]:
    """The schemas that hold at a location, with every form that each allows."""
    places = list(_forms(_kept()))
    for step in location:
        places = [form for place in places for below in _below(place, step) for form in _forms(below)]
    return places


def _forms(place: dict[str, Any]) -> Iterator[dict[str, Any]]:
    """The schema itself and every form that it allows."""
    if "$ref" in place:
        yield from _forms(_kept()["$defs"][place["$ref"].rsplit("/", 1)[1]])
    yield place
    for word in ("anyOf", "oneOf", "allOf"):
        for form in place.get(word, ()):
            yield from _forms(form)


def _below(place: dict[str, Any], step: str | int) -> Iterator[dict[str, Any]]:
    if isinstance(step, int):
        below = place.get("items")
    else:
        below = place.get("properties", {}).get(step, place.get("additionalProperties"))
    if isinstance(below, dict):
        yield below
