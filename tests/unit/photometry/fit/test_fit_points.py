"""Beams from measured points: the brightest hold the peak, the axis may move, and absurd beams lose."""

from __future__ import annotations

import math

import numpy as np
import pytest
from hypothesis import Phase, given, settings
from hypothesis import strategies as st

from scenelux.errors import UsageError
from scenelux.photometry import (
    Beam,
    Compound,
    CosinePower,
    EllipticalGaussian,
    FlatTop,
    beam_candela,
    default_orientation,
    flux_lm,
    peak,
    vehicle_angles,
)
from scenelux.photometry.fit import Claims, Fit, fit_beam, names_of_table, points_of_table
from scenelux.photometry.fit.figures import figures_of
from scenelux.photometry.fit.trial import Trial
from scenelux.photometry.hv.read import read_hv_table

SIDES = ("20L", "10L", "5L", "V", "5R", "10R", "20R")
AMBER = {  # invented: a smooth beam about 5R-2.5U; rows of the laboratory's table
    "10D": (0.2, 1.5, 2.8, 4.0, 4.5, 4.0, 1.5),
    "5D": (4.5, 33.6, 62.7, 91.3, 103.5, 91.3, 33.6),
    "2.5D": (12.1, 89.2, 166.6, 242.4, 274.7, 242.4, 89.2),
    "H": (21.7, 160.2, 299.4, 435.6, 493.5, 435.6, 160.2),
    "2.5U": (26.4, 194.8, 363.9, 529.5, 600.0, 529.5, 194.8),
    "5U": (21.7, 160.2, 299.4, 435.6, 493.5, 435.6, 160.2),
    "10U": (4.5, 33.6, 62.7, 91.3, 103.5, 91.3, 33.6),
}
LINES = [f"{up}-{side};{cd}" for up, row in AMBER.items() for side, cd in zip(SIDES, row, strict=True)]
TABLE = read_hv_table("\n".join(["# basis: measured", "point;measured [cd]", *LINES]).encode())


def amber(form: str | None = None) -> Fit:
    return fit_beam(Claims(points=points_of_table(TABLE), point_names=names_of_table(TABLE), form=form))


def seen(
    light: Beam | Compound, across: tuple[float, ...], up: tuple[float, ...]
) -> tuple[tuple[float, float, float], ...]:
    rows = []
    for h in across:
        for v in up:
            a, b = math.radians(h), math.radians(v)
            d = (math.cos(a) * math.cos(b), -math.sin(a), math.cos(a) * math.sin(b))
            rows.append((h, v, float(beam_candela(light, d))))
    return tuple(rows)


ACROSS, UP = (-40.0, -20.0, -10.0, -5.0, 0.0, 5.0, 10.0, 20.0, 40.0), (-20.0, -10.0, -5.0, 0.0, 5.0, 10.0, 20.0)


def test_a_smooth_beam_beside_the_axis_is_found_where_it_is() -> None:
    found = amber()
    assert found.form == "elliptical-gaussian"
    assert found.centre_deg == pytest.approx((5.0, 2.5), abs=0.15)
    top = peak(found.distribution)
    assert top.candela == pytest.approx(600.0, rel=0.01)
    assert (top.horizontal_deg, top.vertical_deg) == pytest.approx((5.0, 2.5), abs=0.2)
    assert flux_lm(found.distribution) == pytest.approx(
        flux_lm(TABLE.distribution), rel=0.12
    )  # the table ends at 20 deg
    for one in found.residuals:
        assert one.percent_of_peak is not None and abs(one.percent_of_peak) < 1.2
    assert {one.form: round(one.misfit_percent or 0.0) for one in found.tried}["elliptical-gaussian"] <= 2
    assert found.uncertainty_percent.in_beam_percent == 10.0
    (said,) = found.warnings
    assert said.code == 178 and "right of" in said.sentence and "above it" in said.sentence


def test_a_dazzling_spike_is_no_better_than_a_centred_beam_in_the_dark() -> None:
    """Once a flat-top beam of 98,974 cd won: its own peak was the measure of its misfit."""
    figures = figures_of(Claims(points=points_of_table(TABLE)))
    spike = Trial("flat-top", 98_974.0, 7.60688, 2.60315, 1.0, None)
    centred = Trial("elliptical-gaussian", 603.0, 22.3, 9.4, 0.5, None)
    assert figures.misfit(spike) > 2.0 * figures.misfit(centred)
    for brighter in (1.0, 1e3, 1e6):
        spike = Trial("flat-top", 98_974.0 * brighter, 7.60688, 2.60315, 1.0, None)
        assert figures.misfit(spike) > figures.misfit(centred)


def test_the_misfit_of_points_by_hand() -> None:
    """Logarithms of both values lifted by a tenth of the highest stated one."""
    claims = Claims(points=((0.0, 0.0, 600.0), (10.0, 0.0, 200.0), (30.0, 0.0, 0.0)))
    trial = Trial("elliptical-gaussian", 500.0, 20.0, 20.0, 0.5, None)
    by_hand = [math.log((fit + 60) / (stated + 60)) for fit, stated in ((500, 600), (250, 200), (500 * 2**-9, 0))]
    expected = math.sqrt(sum(one**2 for one in by_hand) / 3)
    assert figures_of(claims).misfit(trial) == pytest.approx(expected)


def test_a_form_that_does_not_suit_is_refused_with_its_misfit() -> None:
    with pytest.raises(UsageError) as caught:
        amber("cosine-power")
    said = str(caught.value)
    assert "cosine-power does not fit the points" in said and "at most 40 %" in said and "leave the form out" in said


def test_points_that_no_form_fits_are_refused() -> None:
    twin = Compound(((EllipticalGaussian(300, 10, 10), 20.0, 0.0), (EllipticalGaussian(300, 10, 10), -20.0, 0.0)))
    with pytest.raises(UsageError, match=r"no form of beam fits the points: they are .* use the table of the points"):
        fit_beam(Claims(points=seen(twin, ACROSS, UP)))


def test_a_peak_between_points_far_apart_is_refused_unless_something_else_tells_it() -> None:
    narrow = Compound(((EllipticalGaussian(300, 3, 2), 2.0, 1.0),))
    points = seen(narrow, ACROSS, UP)
    with pytest.raises(UsageError, match="the peak of the beam is open: the points reach"):
        fit_beam(Claims(points=points))
    told = fit_beam(Claims(points=points, flux_lm=300))
    assert told.beam.flux_lm == pytest.approx(300, rel=0.05)
    assert 177 in {one.code for one in told.warnings}


@settings(max_examples=6, deadline=None, phases=(Phase.explicit, Phase.generate))
@given(right=st.floats(-9, 9), up=st.floats(-4, 4), width=st.floats(16, 40), share=st.floats(0.4, 0.9))
def test_a_moved_beam_comes_back(right: float, up: float, width: float, share: float) -> None:
    known = Compound(((EllipticalGaussian(2000, width, width * share), right, up),))
    points = seen(known, ACROSS, UP)
    found = fit_beam(Claims(points=points, form="elliptical-gaussian"))
    brightest = max(row[2] for row in points)
    assert max(abs(one.percent_of_peak or 0.0) for one in found.residuals) < 6.0
    assert peak(found.distribution).candela < 1.3 * brightest
    if found.centre_deg != (0.0, 0.0):
        assert found.centre_deg == pytest.approx((right, up), abs=0.02)
        assert found.beam.flux_lm == pytest.approx(2000, rel=1e-3)
    else:  # so near the axis that a centred beam is as good
        assert math.hypot(right / width, up / (width * share)) < 0.12


@pytest.mark.parametrize("known", [CosinePower(2500, 40), EllipticalGaussian(2500, 40, 30), FlatTop(2500, 40, 30, 10)])
def test_mirrored_points_move_the_beam_to_the_other_side(known: Beam) -> None:
    right = fit_beam(Claims(points=seen(Compound(((known, 8.0, -3.0),)), ACROSS, UP)))
    left = fit_beam(Claims(points=seen(Compound(((known, -8.0, -3.0),)), ACROSS, UP)))
    assert right.form == left.form
    assert left.centre_deg == pytest.approx((-right.centre_deg[0], right.centre_deg[1]), abs=0.05)
    assert left.beam.flux_lm == pytest.approx(right.beam.flux_lm, rel=1e-2)


def test_points_on_one_side_of_the_axis_leave_the_beam_on_it() -> None:
    known = Compound(((EllipticalGaussian(2500, 40, 30), 8.0, 0.0),))
    found = fit_beam(Claims(points=seen(known, (0.0, 5.0, 10.0, 20.0), (0.0,)), up_deg=30))
    assert found.centre_deg == (0.0, 0.0)


def test_with_a_cutoff_the_beam_is_moved_sideways_only() -> None:
    known = Compound(((EllipticalGaussian(2500, 40, 20, 1.0), 8.0, -4.0),))
    found = fit_beam(Claims(points=seen(known, ACROSS, UP), cutoff_above_deg=1.0))
    assert found.centre_deg[0] == pytest.approx(8.0, abs=0.5) and found.centre_deg[1] == 0.0
    top = found.distribution.vertical_deg >= 1.0
    assert found.distribution.candela[:, top].max() == 0.0


def test_the_moved_peak_lies_to_the_right_of_the_lamp() -> None:
    """The written table, by the angles of the vehicle: C 0 is right, C 90 up."""
    table = amber().distribution
    top = peak(table)
    c, gamma = vehicle_angles(table, default_orientation("B"), top.horizontal_deg, top.vertical_deg)
    assert float(c) == pytest.approx(math.degrees(math.atan2(2.5, 5.0)), abs=2.5)
    assert float(gamma) == pytest.approx(math.hypot(5.0, 2.5), abs=0.2)


def test_only_beams_that_fit_about_as_well_count_for_the_uncertainty() -> None:
    """The cosine-power beam is 43 % apart, the flat-top 13 %: neither tells how sure the Gaussian is."""
    found = amber()
    assert all((one.misfit_percent or 0.0) > 10.0 for one in found.tried if one.form != found.form)
    assert found.uncertainty_percent == amber("elliptical-gaussian").uncertainty_percent
    assert found.uncertainty_percent.outside_beam_percent == 100.0


def test_points_keep_the_names_of_their_table() -> None:
    names = [one.claim for one in amber().residuals]
    assert names[0] == "point 10D-20L" and "point 2.5U-5R" in names and "point H-V" in names
    with pytest.raises(UsageError, match=r"the point at 2\.5U-V with 529\.5 cd is brighter than the peak 500 cd"):
        fit_beam(Claims(points=points_of_table(TABLE), point_names=names_of_table(TABLE), peak_cd=500))
    with pytest.raises(UsageError, match="are not as many as the points"):
        Claims(points=((0.0, 0.0, 5.0),), point_names=("H-V", "5U-V"))


def test_far_points_are_told_in_one_sentence() -> None:
    points = [
        (h, v, cd * (0.3 if (h, v) == (5.0, 0.0) else 1.0)) for h, v, cd in seen(CosinePower(2500, 40), ACROSS, UP)
    ]
    found = fit_beam(Claims(points=tuple(points)))
    (said,) = (one.sentence for one in found.warnings if one.code == 173)
    assert said.startswith("point 5, 0 deg: stated ") and "of its value and 2 % of the peak" in said


def test_residuals_are_plain_relative_errors_and_shares_of_the_peak() -> None:
    found = fit_beam(Claims(points=((0.0, 0.0, 1000.0), (10.0, 0.0, 480.0), (30.0, 0.0, 0.0)), form="cosine-power"))
    for one in found.residuals:
        assert one.percent_of_peak == pytest.approx(100 * (one.fitted - one.stated) / 1000)
        if one.stated:
            assert one.percent == pytest.approx(100 * (one.fitted / one.stated - 1))
    assert math.isnan(found.residuals[-1].percent) and [one.is_small for one in found.residuals] == [False, False, True]


def test_dark_points_beside_a_bright_beam_of_lumens_count_little() -> None:
    """Stray light of 50 cd at 30 deg is nothing against a peak of 40,000 cd, and does not widen the beam."""
    plain = fit_beam(Claims(flux_lm=5000, beam_angle_deg=20)).beam
    found = fit_beam(Claims(flux_lm=5000, beam_angle_deg=20, points=((30.0, 0.0, 50.0),))).beam
    assert np.allclose(list(vars(found).values())[:2], list(vars(plain).values())[:2], rtol=0.02)
