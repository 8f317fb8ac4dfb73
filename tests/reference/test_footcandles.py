"""Footcandles and lux as specifications print them side by side: rounded, and so two different limits."""

from __future__ import annotations

from collections.abc import Callable

import pytest

from scenelux.checks import in_unit, shipped_rules

Agreement = Callable[..., None]


def test_one_footcandle(agreement: Agreement) -> None:
    ours = 1.0 / in_unit(1.0, "fc")
    agreement("1 fc [lx]", 10.764, ours, "heading of the published work-zone levels", "published", 5e-4)


@pytest.mark.parametrize(("rule", "lux"), [("mdot_pass", 54.0), ("mdot_work", 108.0), ("maine", 216.0)])
def test_lux_printed_beside_footcandles_are_rounded(agreement: Agreement, rule: str, lux: float) -> None:
    """216 lx is twice 108 rather than 20 fc in lux, so a unit in the last place is allowed."""
    row = shipped_rules()[rule]
    assert row.beside == (lux, "lx")
    ours = row.limit / in_unit(1.0, row.unit)
    agreement(f"{row.limit:g} fc of {rule} [lx]", lux, ours, f"{row.source}", row.source.status, 1.0)
    assert ours < lux  # the figure in lux asks for more
