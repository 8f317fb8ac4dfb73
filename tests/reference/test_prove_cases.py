"""Every shipped reference case through the functions that studies use, as `scenelux prove` runs them."""

from __future__ import annotations

from collections.abc import Callable
from functools import partial

import pytest

from scenelux.prove import QUANTITIES, Case, compare, shipped_cases
from scenelux.prove.quantities import lamps, points
from scenelux.reports.prove import asked

CASES = shipped_cases()
ON_THE_ENGINE = [case for case in CASES if case.quantity in points.__all__]


@pytest.mark.parametrize("case", CASES, ids=lambda case: f"{case.quantity} line {case.line}")
def test_case(case: Case, agreement: Callable[..., None]) -> None:
    found = compare(case)
    assert found.verdict == "agrees", found.pairs
    for pair in found.pairs:
        if pair.digits is not None:
            slack = 1e-12 * max(1.0, abs(pair.expected))
            name = asked(found).replace(":", f" {pair.name}:" if pair.name else ":", 1)
            agreement(name, pair.expected, pair.ours, case.source, case.status, pair.within + slack)


@pytest.mark.parametrize("case", ON_THE_ENGINE, ids=lambda case: f"{case.quantity} line {case.line}")
def test_case_on_the_fast_path(case: Case, monkeypatch: pytest.MonkeyPatch) -> None:
    """Single precision keeps every printed digit; nan stays nan."""
    monkeypatch.setattr(lamps, "illuminance", partial(lamps.illuminance, precision="fast"))
    for pair in compare(case).pairs:
        assert pair.agrees or pair.ours == pytest.approx(pair.expected, rel=2e-6, abs=pair.within), pair


def test_every_case_has_its_address() -> None:
    for case in CASES:
        assert case.source and case.status != "own", (case.document.file, case.line)
        assert ("memory" not in case.source) or case.status in ("unconfirmed", "calculated"), case.source


def test_every_quantity_has_a_case() -> None:
    assert {case.quantity for case in CASES} == set(QUANTITIES)
