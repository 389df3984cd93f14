"""The result as JSON: shape, order, bytes and schema."""

from __future__ import annotations

import json
from dataclasses import replace

import jsonschema
import pytest
from made_up import CANNOT, MET, OVERLAPPING, UNCHECKED, result

from fitcheck.report.as_json import render, result_schema

FINDING_KEYS = [
    "check", "parts", "build", "state", "status", "value", "low", "high", "rss_low", "rss_high", "unit", "required",
    "sense", "points", "rule", "reason", "settle_by", "mend",
]  # fmt: skip


def test_keys_and_their_order():
    entry = json.loads(render(result()))
    assert list(entry)[:8] == [
        "fitcheck", "layout", "verdict", "not_covered", "taken_as_exact", "findings", "balance", "room_left",
    ]  # fmt: skip
    assert entry["fitcheck"] == 1
    assert entry["layout"] == {
        "file": "shuttle.yaml",
        "title": "Crew shuttle, six-module proposal",
        "sha256": "ab" * 32,
    }
    assert entry["verdict"] == "does not fit"
    assert entry["taken_as_exact"] == 2


def test_a_finding_has_every_key_and_null_for_nothing():
    unchecked, settled = json.loads(render(result(UNCHECKED, CANNOT)))["findings"]
    assert list(unchecked) == list(settled) == FINDING_KEYS
    assert [unchecked[key] for key in ("value", "low", "rss_high", "required", "sense", "points")] == [None] * 6
    assert (settled["value"], settled["low"], settled["high"]) == (2.5, 1.25, 3.75)
    assert settled["sense"] == "at least"
    assert settled["points"] == [[0.0, 2.5, 0.0], [0.0, 0.0, 0.0]]
    assert settled["rule"]["source"] == "common practice (no source)"
    assert settled["settle_by"] == "case.inside.y to ± 0.5 mm"


def test_overlap_carries_its_volume():
    (overlap,) = json.loads(render(result(OVERLAPPING)))["findings"]
    assert list(overlap) == [*FINDING_KEYS, "volume_mm3"]
    assert overlap["volume_mm3"] == 1234.5
    assert (overlap["required"], overlap["sense"]) == (0.0, "at most")


def test_guesses_are_named_on_the_finding():
    (finding,) = json.loads(render(result(replace(CANNOT, rests_on_guess=("duct.x",)))))["findings"]
    assert finding["rests_on_guess"] == ["duct.x"]


def test_sections_with_nothing_to_say_are_left_out():
    entry = json.loads(render(result(MET, balance=None, room=(), counted=None)))
    assert not {"balance", "room_left", "counted", "heights", "screws"} & set(entry)


def test_the_balance_gives_unknown_as_null():
    balance = json.loads(render(result()))["balance"]
    assert list(balance) == ["original", "proposed", "change", "ledger"]
    assert balance["original"]["mass_kg"] is None
    assert balance["original"]["missing"] == ["old_1"]
    assert balance["change"] is None
    assert balance["proposed"]["mass_kg"] == 1188.123457
    assert balance["proposed"]["inertia_kg_m2"][0] == [1.0, -0.1, 0.0]


def test_no_minus_zero_and_the_same_bytes_twice():
    text = render(result())
    assert "-0.0," not in text
    assert "-0.0\n" not in text
    assert text == render(result())
    assert text.isascii()


def test_room_left_gives_null_for_farther_than_looked():
    (room,) = json.loads(render(result()))["room_left"]
    assert room["ways"][2] == {"way": "left", "distance_mm": None, "stopped_by": ""}


@pytest.mark.parametrize("shown", [result(), result(MET, balance=None, room=(), counted=None)])
def test_what_is_written_is_valid_by_the_published_schema(shown):
    schema = result_schema()
    jsonschema.Draft202012Validator.check_schema(schema)
    jsonschema.validate(json.loads(render(shown)), schema, cls=jsonschema.Draft202012Validator)


def test_the_schema_refuses_a_status_that_does_not_exist():
    entry = json.loads(render(result()))
    entry["findings"][0]["status"] = "passed"
    with pytest.raises(jsonschema.ValidationError, match="passed"):
        jsonschema.validate(entry, result_schema())
