"""Rule sets side by side, and a layout's own distances between live parts."""

from __future__ import annotations

import pytest
from engine_layouts import layout

from fitcheck.errors import LayoutErrors
from fitcheck.model.sections import Electrical

TEXT = """
    parts:
      a: {{role: terminal, change: new, potential: plus, shape: {{box: [10, 10, 10]}}, low_corner: [0, 0, 0]}}
    electrical:
      potentials: {{plus: 400 V}}
      {more}
"""


def electrical(more: str) -> Electrical:
    found = layout(TEXT.format(more=more)).sections.electrical
    assert found is not None
    return found


def problems(more: str) -> list[str]:
    with pytest.raises(LayoutErrors) as found:
        electrical(more)
    return [f"{each.what}; {each.mend}" for each in found.value.problems]


def test_the_first_rule_set_alone_is_the_default() -> None:
    assert electrical("system: isolated").rules == ()
    assert electrical("rules: [iec 60664-1]").rules == ()


def test_others_stand_beside_it() -> None:
    assert electrical("rules: [iec 60664-1, formula sae 2024]").rules == ("formula sae 2024",)


def test_the_first_cannot_be_left_out() -> None:
    assert problems("rules: [formula sae 2024]") == [
        "iec 60664-1 is left out; other rule sets stand beside it; add iec 60664-1 to them"
    ]


def test_unknown_and_doubled_rule_sets() -> None:
    assert problems("rules: [iec 60664-1, formula sea 2024]") == [
        "unknown word 'formula sea 2024'; did you mean 'formula sae 2024'?"
    ]
    assert problems("rules: [iec 60664-1, iec 60664-1]") == ["iec 60664-1 is named twice; keep one of the two"]


def test_a_rule_of_ones_own() -> None:
    (rule,) = electrical("also: [{name: house rule, because: we sand by hand, clearance: 1 cm, above: 60 V}]").also
    assert (rule.name, rule.because, rule.creepage) == ("house rule", "we sand by hand", None)
    assert rule.clearance is not None
    assert (rule.clearance.nominal, rule.clearance.name) == (10.0, "electrical.house rule.clearance")
    assert rule.above is not None
    assert rule.above.nominal == 60.0
    assert rule.at.line == 7


@pytest.mark.parametrize(
    ("rule", "said"),
    [
        ("{name: house rule, because: so}", "'house rule' asks for nothing; add clearance: 10 mm, or creepage"),
        ("{name: house rule, clearance: 3}", "no 'because' here"),
        ("{name: house rule, because: so, clearance: 0}", "a length of zero; write a length above zero"),
        ("{name: house rule, because: so, clearance: 5, above: 60}", "60"),
        ("{name: iec 60664-1, because: so, clearance: 5}", "there is a rule 'iec 60664-1' already; name it otherwise"),
        (
            "{name: x, because: so, clearance: 5}, {name: x, because: so, creepage: 5}",
            "there is a rule 'x' already; name it otherwise",
        ),
    ],
)
def test_slips_are_answered(rule: str, said: str) -> None:
    (found,) = problems(f"also: [{rule}]")
    assert said in found
