"""Worked examples of LM-63 files: what their figures tell from other rules of integration, factors and tilt tables."""

from __future__ import annotations

import math
from collections.abc import Callable

import numpy as np
import pytest

from scenelux.photometry import (
    flux_lm,
    peak,
    read_lm63,
)

Agreement = Callable[..., None]
FORMULA = "calculated from the stated formula"
HEAD = b"IESNA:LM-63-2002\n[TEST] t\n[TESTLAB] l\n[ISSUEDATE] d\n[MANUFAC] m\nTILT=NONE\n"
FIRST = HEAD + b"2 -1 1.2 3 1 1 2 -0.08 -0.08 0\n0.9 1 24\n0 40 90\n0\n500 350 0\n"
SECOND = HEAD + b"1 -1 1 3 3 %d 2 0 0 0\n1 1 24\n-90 0 90\n-90 0 90\n0 0 0\n0 1000 0\n0 0 0\n"


def test_first_example_rotational() -> None:
    """Its flux and intensities are shipped cases."""
    file = read_lm63(FIRST)
    assert file.factor == pytest.approx(1.08) and file.absolute and file.opening.size_m == (0.08, 0.08, 0)
    assert file.opening.shape == "ellipse" and [one.code for one in file.warnings] == [43]


def test_first_example_is_where_other_rules_fail() -> None:
    """The zonal rule gives 1584.4 lm and the trapezoid of I sin V 1199.0 lm: this grid tells an exact sum from both."""
    lamp = read_lm63(FIRST).distribution
    i, v = lamp.candela[0], np.radians(lamp.vertical_deg)
    zonal = 2 * math.pi * float(np.sum(0.5 * (i[1:] + i[:-1]) * (np.cos(v[:-1]) - np.cos(v[1:]))))
    trapezoid = 2 * math.pi * float(np.trapezoid(i * np.sin(v), v))
    assert (round(zonal, 1), round(trapezoid, 1)) == (1584.4, 1199.0)
    assert abs(flux_lm(lamp) - zonal) > 50 and abs(flux_lm(lamp) - trapezoid) > 50


@pytest.mark.parametrize(("code", "kind"), [(2, "B"), (3, "A")])
def test_second_example_types_a_and_b(code: int, kind: str) -> None:
    """The same numbers as a table are shipped cases; here they come from a file."""
    lamp = read_lm63(SECOND % code).distribution
    top = peak(lamp)
    assert lamp.photometric_type == kind
    assert (top.candela, top.horizontal_deg, top.vertical_deg, top.gamma_deg) == (1000, 0, 0, 0)
    assert flux_lm(lamp) == pytest.approx(2000, rel=1e-9)


def test_second_example_is_where_other_rules_fail() -> None:
    """Mean of the four corners times the exact solid angle of a cell gives 1570.8 lm for both types, not 2000 lm."""
    lamp = read_lm63(SECOND % 2).distribution
    i = lamp.candela
    corners = 0.25 * (i[1:, 1:] + i[1:, :-1] + i[:-1, 1:] + i[:-1, :-1])
    across, along = np.diff(np.sin(np.radians(lamp.horizontal_deg))), np.diff(np.radians(lamp.vertical_deg))
    zonal = float(np.sum(corners * np.outer(across, along)))
    assert round(zonal, 1) == 1570.8
    for code in (2, 3):
        assert abs(flux_lm(read_lm63(SECOND % code).distribution) - zonal) > 400


@pytest.mark.parametrize("code", [1, 2, 3])
def test_flux_is_that_of_the_directions(agreement: Agreement, code: int) -> None:
    """Sum over the whole sphere of the intensity in a direction, by the direction vectors alone, in fixed steps.

    A lamp that is wide in one axis and narrow in the other tells the weight cos H of type B from a wrong cos V.
    """
    rows = b"0 0 0\n40 900 40\n0 0 0\n" if code > 1 else b"900 40 0\n900 60 0\n900 40 0\n"
    angles_text = b"-90 0 90\n-20 0 20\n" if code > 1 else b"0 20 90\n0 90 180\n"
    lamp = read_lm63(HEAD + b"1 -1 1 3 3 %d 2 0 0 0\n1 1 24\n" % code + angles_text + rows).distribution
    z = (np.arange(2000) + 0.5) / 1000 - 1
    turn = (np.arange(1000) + 0.5) * 2 * math.pi / 1000
    rho = np.sqrt(1 - z**2)[:, None]
    way = np.stack(np.broadcast_arrays(rho * np.cos(turn), rho * np.sin(turn), z[:, None]), axis=-1)
    summed = float(lamp.intensity(way).mean()) * 4 * math.pi
    kind = {1: "C", 2: "B", 3: "A"}[code]
    agreement(f"flux by a sum over the sphere, type {kind} [lm]", summed, flux_lm(lamp), FORMULA, "calculated",
              0.001 * summed)  # fmt: skip


def test_field_12_scales_in_the_first_editions_only() -> None:
    changed = FIRST.replace(b"0.9 1 24", b"0.9 0.8 24")
    old, later = read_lm63(changed.replace(b"IESNA:LM-63-2002", b"IESNA91")), read_lm63(changed)
    assert flux_lm(old.distribution) == pytest.approx(0.8 * flux_lm(later.distribution), rel=1e-12)
    assert 12 in {one.code for one in later.warnings}


def test_the_tilt_table_is_kept_and_not_applied() -> None:
    table = b"TILT=INCLUDE\n1\n4\n0 15 30 90\n1.0 .95 .93 .9\n"
    file, bare = read_lm63(FIRST.replace(b"TILT=NONE\n", table)), read_lm63(FIRST)
    assert file.tilt is not None and file.tilt.factors == (1.0, 0.95, 0.93, 0.9)
    assert flux_lm(file.distribution) == flux_lm(bare.distribution)
