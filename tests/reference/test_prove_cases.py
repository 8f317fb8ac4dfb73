"""Every shipped reference case through the functions that studies use, as `scenelux prove` runs them."""

from __future__ import annotations

from collections.abc import Callable

import pytest

from scenelux.prove import QUANTITIES, Case, compare, shipped_cases
from scenelux.reports.prove import asked

CASES = shipped_cases()


@pytest.mark.parametrize("case", CASES, ids=lambda case: f"{case.quantity} line {case.line}")
def test_case(case: Case, agreement: Callable[..., None]) -> None:
    found = compare(case)
    assert found.verdict == "agrees", found.pairs
    for pair in found.pairs:
        if pair.digits is not None:
            slack = 1e-12 * max(1.0, abs(pair.expected))
            name = asked(found).replace(":", f" {pair.name}:" if pair.name else ":", 1)
            agreement(name, pair.expected, pair.ours, case.source, case.status, pair.within + slack)


def test_every_case_has_its_address() -> None:
    for case in CASES:
        assert case.source and case.status != "own", (case.document.file, case.line)
        assert ("memory" not in case.source) or case.status in ("unconfirmed", "calculated"), case.source


def test_every_quantity_has_a_case() -> None:
    assert {case.quantity for case in CASES} == set(QUANTITIES)
