"""Sample files that a general colour package ships (test extra luxpy): our reading beside what that package reports.

Only the data files are read; the package itself is never imported. Its figures are those that its release 1.12.5 gave
when it read its own files with numpy 2.2; where they differ from ours, the test says why.
"""

from __future__ import annotations

from collections.abc import Callable
from importlib.util import find_spec
from pathlib import Path

import numpy as np
import pytest

from scenelux.photometry import PhotometricFile, flux_lm, peak, read_photometric

SOURCE = "luxpy 1.12.5, sample files"
REPORTED = "as its own reader reports"


def sample_file(name: str) -> PhotometricFile:
    spec = find_spec("luxpy")
    assert spec is not None and spec.submodule_search_locations, "install the test extra"
    path = Path(spec.submodule_search_locations[0]) / "toolboxes" / "iolidfiles" / "data" / name
    return read_photometric(path.read_bytes(), name)


@pytest.fixture(scope="module")
def pair() -> tuple[PhotometricFile, PhotometricFile]:
    """One lamp in two formats."""
    return sample_file("luxpy_test_lid_file.ies"), sample_file("luxpy_test_lid_file.ldt")


Check = Callable[..., None]
Pair = tuple[PhotometricFile, PhotometricFile]


def test_flux_that_the_package_reports(pair: Pair, agreement: Check) -> None:
    """It sums I sin gamma by the trapezoidal rule, which on one-degree steps is good to a few parts in 100,000."""
    agreement("flux of its LM-63 sample [lm]", 5280.404, flux_lm(pair[0].distribution), SOURCE, REPORTED, 0.5)
    ours = flux_lm(pair[1].distribution)
    agreement("flux of its EULUMDAT sample [lm/klm]", 880.0667, ours / 6.0, SOURCE, REPORTED, 0.1)


def test_flux_on_coarse_angles_differs_by_their_rule(agreement: Check) -> None:
    """On five-degree steps the trapezoid of I sin gamma falls short by 0.3 %: done here as that package does it."""
    for name, reported in (("luxpy_test_lid_file2b.ies", 3328.665), ("luxpy_test_lid_file2t.ies", 5754.002)):
        lamp = sample_file(name).distribution
        c, gamma = np.radians(lamp.horizontal_deg), np.radians(lamp.vertical_deg)
        theirs = np.trapezoid(np.trapezoid(lamp.candela * np.sin(gamma), gamma, axis=1), c)
        agreement(f"trapezoid of I sin gamma, {name} [lm]", reported, float(theirs), SOURCE, REPORTED, 0.01)
        assert 1.002 < flux_lm(lamp) / theirs < 1.005


def test_flux_that_the_file_states(pair: Pair, agreement: Check) -> None:
    """The EULUMDAT file gives a light output ratio of 88 % of lamps of 6,000 lm."""
    assert pair[0].rated_flux_lm == pair[1].rated_flux_lm == 6000.0
    for one in pair:
        ratio = 100.0 * flux_lm(one.distribution) / 6000.0
        agreement(f"light output ratio, {one.format} [%]", 88.0, ratio, SOURCE, "stated in the file", 0.05)


def test_intensities_that_the_package_reports(pair: Pair, agreement: Check) -> None:
    """Its LM-63 reader gives candelas; its EULUMDAT reader leaves them in cd/klm, so a sixth of ours for 6,000 lm."""
    for c, gamma, candela, per_klm in ((0, 0, 1204.9, 200.81), (20, 30, 1266.1, 211.02), (40, 30, 1193.0, 198.83)):
        ours = pair[0].distribution.candela_at(c, gamma)
        agreement(f"LM-63 sample at C {c}, gamma {gamma} [cd]", candela, float(ours), SOURCE, REPORTED, 0.06)
        ours = pair[1].distribution.candela_at(c, gamma) / 6.0
        agreement(f"EULUMDAT sample at C {c}, gamma {gamma} [cd/klm]", per_klm, float(ours), SOURCE, REPORTED, 0.006)
    agreement("LM-63 sample, peak [cd]", 1536.42, peak(pair[0].distribution).candela, SOURCE, REPORTED, 0.005)
    agreement("EULUMDAT sample, peak [cd/klm]", 256.07, peak(pair[1].distribution).candela / 6, SOURCE, REPORTED, 5e-3)


def test_both_files_of_the_lamp_agree(pair: Pair) -> None:
    first, second = (one.distribution for one in pair)
    np.testing.assert_allclose(first.candela, second.candela, rtol=1e-9)
    np.testing.assert_array_equal(first.horizontal_deg, second.horizontal_deg)
    assert pair[0].opening.size_m == pair[1].opening.size_m == (1.966, 0.08, 0.0)
    assert pair[0].input_watts == pair[1].input_watts == 43.5
    assert pair[0].text("LUMINAIRE") == pair[1].text("LUMINAIRE") == "LDT test lamp / 6klm"


def test_the_old_edition_without_an_identifier() -> None:
    """Title lines before TILT= are free text; the box is four feet long; more light than its lamps have is told."""
    file = sample_file("luxpy_test_lid_file2b.ies")
    assert (file.edition, file.symmetry) == ("1986", "quadrants")
    assert file.opening.size_m == pytest.approx((1.2192, 0.12384024, 0.15556992))
    assert [one.code for one in file.warnings] == [52]
