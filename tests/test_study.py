from __future__ import annotations

from engine_layouts import BEGINNING, END, measured, pair_of, study

from fitcheck.study import Study

TEXT = """
parts:
  case: {role: enclosure, change: retained, shape: {box: [400, 300, 5]}, low_corner: [0, 0, -5]}
  stop: {role: bracket, change: retained, shape: {box: [10, 60, 40]}, low_corner: [0, 10, 0]}
  m1: {role: module, change: new, grows: {x: 2 %}, shape: {box: [100 ± 1, 60, 40]},
       place: {front: against stop rear, left: flush with stop, bottom: flush with stop}}
  m2: {role: module, change: new, shape: {box: [100, 60, 40]},
       place: {front: against m1 rear, left: flush with m1, bottom: flush with m1}}
  m3: {role: module, change: new, shape: {box: [100, 60, 40]}, low_corner: [10, 90, 0]}
gaps:
  - {between: [every module, every module], at_least: 3}
"""


def test_measures_are_kept_and_taken_over() -> None:
    placed = study(TEXT)
    first = measured(placed, "m1", "m3")
    assert measured(placed, "m1", "m3") is first
    again = Study(placed.layout, placed.meshes, known=placed)
    assert measured(again, "m1", "m3") is first


def test_age_matters_to_what_grows_and_to_what_it_carries() -> None:
    placed = study(TEXT)
    assert placed.states == (BEGINNING, END)
    assert placed.changes_with_age(pair_of(placed, "m1", "m3"))
    assert placed.changes_with_age(pair_of(placed, "m2", "m3"))
    assert not placed.changes_with_age(pair_of(placed, "case", "m3"))


def test_rules_contacts_and_what_a_pair_says() -> None:
    placed = study(TEXT + "contacts:\n  - [m3, m1]\n")
    pair = pair_of(placed, "m1", "m3")
    assert (pair.names, pair.required) == (("m1", "m3"), 3.0)
    assert pair_of(placed, "case", "m1").rule is None
    assert placed.excused_altogether(pair)
    assert not placed.excused_altogether(pair_of(placed, "m1", "m2"))
    assert placed.touch(pair_of(placed, "m1", "m2"))
    assert not placed.touch(pair)
    assert placed.measure(pair_of(placed, "m1", "m2"), BEGINNING, with_contacts=True) is None


def test_remembered_is_worked_out_once() -> None:
    placed, calls = study(TEXT), []
    for _ in range(2):
        assert placed.remembered("key", lambda: calls.append(1) or "value") == "value"
    assert calls == [1]
