"""Own rules and the names of rules."""

from __future__ import annotations

import math

import pytest

from scenelux.checks import Rule, find_rule, own_rule, shipped_rules
from scenelux.errors import DocumentError

OWN = {
    "rule_id": "calm",
    "quantity": "veiling luminance",
    "statistic": "maximum",
    "sense": "at most",
    "limit": 0.3,
    "unit": "cd/m2",
    "because": "Agreed with the crew.",
}


def own(**changes: object) -> Rule:
    return own_rule(**{**OWN, **changes})  # type: ignore[arg-type]


def test_an_own_rule_is_marked_own_and_carries_its_reason() -> None:
    rule = own()
    assert (rule.source.status, rule.says, rule.subject, rule.lighting) == (
        "own",
        "Agreed with the crew.",
        "eye",
        "initial",
    )
    assert own(quantity="illuminance", unit="fc", statistic="minimum").lighting == "maintained"


@pytest.mark.parametrize(
    ("changes", "sentence"),
    [
        (
            {"quantity": "iluminance"},
            '"iluminance" is not a quantity that a rule can limit; did you mean "illuminance"',
        ),
        ({"statistic": "average"}, '"average" is not a statistic of veiling luminance; known: maximum.'),
        ({"unit": "lx"}, '"lx" is not a unit of veiling luminance; known: cd/m2.'),
        ({"sense": "atleast"}, '"atleast" is not a sense of a limit; did you mean "at least"'),
        ({"limit": -1.0}, "limit -1.0 is not a limit; give a finite number of zero or more."),
        ({"limit": math.nan}, "limit nan is not a limit"),
    ],
)
def test_a_wrong_own_rule_is_one_sentence(changes: dict[str, object], sentence: str) -> None:
    with pytest.raises(DocumentError) as caught:
        own(**changes)
    assert str(caught.value).startswith(sentence)
    assert "\n" not in str(caught.value)


def test_an_unknown_rule_offers_the_nearest() -> None:
    with pytest.raises(DocumentError, match=r'"nfpa_rear_minimun" is not a rule.*did you mean "nfpa_rear_minimum"'):
        find_rule("nfpa_rear_minimun", shipped_rules())


def test_a_name_far_from_all_rules_names_some() -> None:
    with pytest.raises(DocumentError, match=r"\d+ are known, such as "):
        find_rule("zzzzzz", shipped_rules())


def test_a_known_rule_is_found() -> None:
    assert find_rule("mdot_work", shipped_rules()).limit == 10.0
