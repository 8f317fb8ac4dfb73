"""EULUMDAT against values calculated from the table of its fields and the exact flux integral.

The files are written line by line by `eulumdat_by_line`; the sums below are written out and use nothing of the package.
The format is known from its implementers, not from its original text.
"""

from __future__ import annotations

import math
from collections.abc import Callable, Sequence

import numpy as np
import pytest
from eulumdat_by_line import eulumdat

from scenelux.photometry import flux_lm, read_lm63
from scenelux.photometry.eulumdat.read import read_eulumdat
from scenelux.photometry.eulumdat.write import write_eulumdat
from scenelux.photometry.to_type_c import resampling_error, to_type_c

Agreement = Callable[..., None]
SOURCE = "calculated from the fields of EULUMDAT as described by implementers"
HEAD = b"IESNA:LM-63-2002\n[TEST] t\n[TESTLAB] l\n[ISSUEDATE] d\n[MANUFAC] m\nTILT=NONE\n"


def zone(a: float, b: float, first_deg: float, last_deg: float) -> float:
    """Integral of the line from a to b times the sine of the angle."""
    x1, x2 = math.radians(first_deg), math.radians(last_deg)
    slope = (b - a) / (x2 - x1)
    return a * math.cos(x1) - b * math.cos(x2) + slope * (math.sin(x2) - math.sin(x1))


def plane(gamma: Sequence[float], row: Sequence[float]) -> float:
    return sum(zone(row[i], row[i + 1], gamma[i], gamma[i + 1]) for i in range(len(gamma) - 1))


def circle(c: Sequence[float], planes: Sequence[float]) -> float:
    """Flux of planes whose list closes with plane 0 at 360."""
    c, planes = [*c, 360.0], [*planes, planes[0]]
    return sum(math.radians(c[i + 1] - c[i]) * (planes[i] + planes[i + 1]) / 2 for i in range(len(c) - 1))


def test_rotational_example(agreement: Agreement) -> None:
    """The worked LM-63 example of 1483.55 lm, written as candela per 1000 lm of a set of 1080 lm."""
    lamp = ("2", "LED", "1080", "", "", "24")
    file = read_eulumdat(eulumdat(1, (0,), (0, 40, 90), ((500, 350, 0),), sets=(lamp,), opening_mm=(80, 0, 0, 0, 0, 0)))
    agreement(
        "EULUMDAT: flux of 3 angles, 1080 lm [lm]", 1483.55, flux_lm(file.distribution), SOURCE, "calculated", 0.005
    )
    at_20 = float(file.distribution.candela_at(0, 20))
    agreement("EULUMDAT: intensity at 20 deg [cd]", 459, at_20, SOURCE, "calculated", 1e-9)
    agreement(
        "EULUMDAT: intensity at 65 deg [cd]",
        189,
        float(file.distribution.candela_at(77, 65)),
        SOURCE,
        "calculated",
        1e-9,
    )
    same = read_lm63(HEAD + b"2 -1 1.2 3 1 1 2 -0.08 -0.08 0\n0.9 1 24\n0 40 90\n0\n500 350 0\n")
    assert np.allclose(same.distribution.candela, file.distribution.candela, rtol=1e-12)
    assert same.opening == file.opening and same.input_watts == file.input_watts


def test_planes_come_from_the_list_and_never_from_the_step(agreement: Agreement) -> None:
    """Two bright planes near C 0 stand 10 deg apart; counted by equal steps they would light half the circle."""
    c, gamma = (0, 10, 20, 180, 340, 350), (0, 45, 90)
    rows = [[100, 600, 200], [100, 500, 150], [100, 90, 10], [100, 80, 10], [100, 90, 10], [100, 500, 150]]
    listed = circle(c, [plane(gamma, row) for row in rows])
    shortcut = circle((0, 60, 120, 180, 240, 300), [plane(gamma, row) for row in rows])
    assert shortcut > 1.5 * listed
    for step in ("0", "60"):
        file = read_eulumdat(eulumdat(0, c, gamma, rows, step_c=step))
        agreement(
            f"EULUMDAT: unequal planes, Dc {step} [lm]", listed, flux_lm(file.distribution), SOURCE, "calculated", 1e-9
        )
    folded = read_eulumdat(eulumdat(2, c, gamma, rows[:4], step_c="60"))
    agreement(
        "EULUMDAT: the same with symmetry 2 [lm]", listed, flux_lm(folded.distribution), SOURCE, "calculated", 1e-9
    )


@pytest.mark.parametrize(("symmetry", "first", "last"), [(2, 0, 4), (3, 6, 10), (4, 0, 2)])
def test_stored_planes_by_their_place_in_the_list(agreement: Agreement, symmetry: int, first: int, last: int) -> None:
    """Eight planes: symmetry 2 stores numbers 0 to 4, 3 stores 6, 7, 0, 1, 2 and 4 stores 0 to 2."""
    c, gamma = tuple(range(0, 360, 45)), (0, 30, 90)
    mirror = {
        2: lambda k: min(k, 8 - k),
        3: lambda k: k if k <= 2 or k >= 6 else (4 - k) % 8,
        4: lambda k: min(k % 4, 4 - k % 4),
    }
    level = [100, 140, 60, 30, 20, 70, 180, 90]
    rows = [[50, level[mirror[symmetry](k)], 5] for k in range(8)]
    stored = [rows[k % 8] for k in range(first, last + 1)]
    whole = circle(c, [plane(gamma, row) for row in rows])
    file = read_eulumdat(eulumdat(symmetry, c, gamma, stored))
    agreement(
        f"EULUMDAT: flux of symmetry {symmetry} [lm]", whole, flux_lm(file.distribution), SOURCE, "calculated", 1e-9
    )
    for k in range(8):
        assert file.distribution.candela_at(45 * k, gamma).tolist() == rows[k]


def test_light_output_and_downward_shares_of_a_known_lamp(agreement: Agreement) -> None:
    """100 cd below and 50 cd above the horizontal: 300 pi lm, two thirds of it downward, 94.25 % of 1000 lm."""
    lamp = ("1", "LED", "1000", "", "", "")
    gamma, row = (0, 89.999999, 90.000001, 180), (100, 100, 50, 50)
    first = read_eulumdat(eulumdat(1, (0,), gamma, (row,), sets=(lamp,)))
    lines = write_eulumdat(first)[0].decode("cp1252").split("\r\n")
    agreement("EULUMDAT: written light output ratio [%]", 94.25, float(lines[22]), SOURCE, "calculated", 0.005)
    agreement("EULUMDAT: written downward flux fraction [%]", 66.67, float(lines[21]), SOURCE, "calculated", 0.005)


def test_types_a_and_b_of_the_same_numbers_as_type_c(agreement: Agreement) -> None:
    """Both are 2000 lm; type A keeps every value, type B within half a percent of the peak."""
    data = HEAD + b"1 -1 1 3 3 %d 2 0 0 0\n1 1 24\n-90 0 90\n-90 0 90\n0 0 0\n0 1000 0\n0 0 0\n"
    source = "calculated from ANSI/IESNA LM-63-2002, clause 3"
    for kind, code, within, peak in (("A", 3, 1e-6, (1, 0, 0)), ("B", 2, 2, (0, 0, -1))):
        before = read_lm63(data % code).distribution
        after = to_type_c(before)
        agreement(f"type {kind} of 2000 lm as type C [lm]", 2000, flux_lm(after), source, "calculated", within)
        assert float(after.intensity(peak)) == pytest.approx(1000, rel=1e-3)
        assert resampling_error(before, after).worst_percent < 0.5
