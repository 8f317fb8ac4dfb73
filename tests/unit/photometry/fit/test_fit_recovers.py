"""A beam whose figures were read off its table comes back from them."""

from __future__ import annotations

import numpy as np
import pytest
from hypothesis import Phase, given, settings
from hypothesis import strategies as st

from scenelux.photometry import (
    Beam,
    CosinePower,
    EllipticalGaussian,
    FlatTop,
    beam_angles,
    beam_candela,
    default_orientation,
    field_angles,
    flux_lm,
    peak,
    sample,
)
from scenelux.photometry.fit import Claims, fit_beam

FORM = {CosinePower: "cosine-power", EllipticalGaussian: "elliptical-gaussian", FlatTop: "flat-top"}


def read_off(beam: Beam) -> dict[str, float]:
    """Flux, peak, beam and field angles of the table of a beam, by the measures that any file is shown with."""
    table = sample(beam)
    mounted = default_orientation(table.photometric_type)
    half, tenth = beam_angles(table, mounted), field_angles(table, mounted)
    return {
        "flux_lm": flux_lm(table),
        "peak_cd": peak(table).candela,
        "across_deg": half.across_deg,
        "up_deg": half.up_deg,
        "field_across_deg": tenth.across_deg,
        "field_up_deg": tenth.up_deg,
    }


def assert_same_light(found: Beam, known: Beam, within: float) -> None:
    rng = np.random.default_rng(5)
    d = np.column_stack((np.ones(4000), rng.normal(scale=0.4, size=(4000, 2))))
    exact = beam_candela(known, d)
    np.testing.assert_allclose(beam_candela(found, d), exact, rtol=0, atol=within * exact.max())


@settings(max_examples=12, deadline=None, phases=(Phase.explicit, Phase.generate))
@given(flux=st.floats(10, 50_000), width=st.floats(6, 120))
def test_round_cosine_power(flux: float, width: float) -> None:
    known = CosinePower(flux, width)
    found = fit_beam(Claims(**read_off(known)))
    assert found.form == "cosine-power"
    assert found.beam.flux_lm == pytest.approx(flux, rel=3e-3)
    assert_same_light(found.beam, known, 0.01)


@settings(max_examples=6, deadline=None, phases=(Phase.explicit, Phase.generate))
@given(flux=st.floats(10, 50_000), across=st.floats(6, 85), share=st.floats(0.2, 0.8))
def test_oval_gaussian(flux: float, across: float, share: float) -> None:
    known = EllipticalGaussian(flux, across, max(across * share, 2.0))
    found = fit_beam(Claims(**read_off(known)))
    assert found.form == "elliptical-gaussian" and found.data_class == "fitted from several figures"
    assert_same_light(found.beam, known, 0.01)


@settings(max_examples=5, deadline=None, phases=(Phase.explicit, Phase.generate))
@given(flux=st.floats(10, 50_000), across=st.floats(20, 110), up=st.floats(20, 60), soft=st.floats(0.2, 0.7))
def test_flat_top_with_its_edge(flux: float, across: float, up: float, soft: float) -> None:
    known = FlatTop(flux, across, up, soft * min(across, up, 180 - max(across, up)))
    found = fit_beam(Claims(**read_off(known), form="flat-top"))
    assert found.beam.edge_deg == pytest.approx(known.edge_deg, rel=0.02, abs=0.1)
    assert_same_light(found.beam, known, 0.02)
    chosen = fit_beam(Claims(**read_off(known)))
    assert min(one.misfit_percent for one in chosen.tried if one.misfit_percent is not None) < 0.3
    assert max(abs(one.percent) for one in chosen.residuals) < 8.0  # a simpler form only within its rounding


@pytest.mark.parametrize("known", [CosinePower(2500, 40), EllipticalGaussian(2500, 40, 40), FlatTop(2500, 40, 40, 10)])
def test_points_alone_decide_size_and_shape(known: Beam) -> None:
    angles = [(h, v) for h in (-30, -23, -17, -6, 0, 6, 17, 23, 30) for v in (-22, -8, 0, 8, 22)]
    points = []
    for h, v in angles:
        a, b = np.radians(h), np.radians(v)
        d = (np.cos(a) * np.cos(b), -np.sin(a), np.cos(a) * np.sin(b))
        points.append((float(h), float(v), float(beam_candela(known, d))))
    found = fit_beam(Claims(points=tuple(points), form=FORM[type(known)]))
    assert found.beam.flux_lm == pytest.approx(2500, rel=1e-4)
    assert_same_light(found.beam, known, 1e-4)
    shares = tuple((h, v, 100 * cd / max(row[2] for row in points)) for h, v, cd in points)
    assert fit_beam(Claims(flux_lm=2500, relative_points=shares, form=FORM[type(known)])).beam == found.beam


@pytest.mark.parametrize("cutoff", [8.0, 0.0, -4.0])
@pytest.mark.parametrize("form", list(FORM.values()))
def test_lumens_and_peak_with_a_cutoff_are_those_of_what_is_left(form: str, cutoff: float) -> None:
    claims = Claims(flux_lm=1800, peak_cd=4000, field_angle_deg=70, cutoff_above_deg=cutoff, form=form)
    found = fit_beam(claims)
    table = sample(found.beam)
    lit = table.vertical_deg >= cutoff
    assert table.candela[:, lit].max() == 0.0
    by_claim = {one.claim: one.fitted for one in found.residuals}
    assert flux_lm(table) == pytest.approx(by_claim["flux delivered"], rel=1e-5)
    assert peak(table).candela == pytest.approx(by_claim["peak"], rel=0.01)


def test_the_table_has_exactly_the_fitted_flux() -> None:
    found = fit_beam(Claims(flux_lm=4200, peak_cd=9000, beam_angle_deg=37))
    assert flux_lm(found.distribution) == pytest.approx(found.beam.flux_lm, rel=1e-12)


def test_one_angle_and_lumens_give_exactly_these() -> None:
    found = fit_beam(Claims(flux_lm=4200, across_deg=80, up_deg=40))
    assert found.beam == EllipticalGaussian(4200, 80, 40)


def test_lumens_and_peak_alone_give_the_width() -> None:
    """Round: flux / peak = 2 pi / (n + 1), with n = ln 0.5 / ln cos (width / 2)."""
    found = fit_beam(Claims(flux_lm=2500, peak_cd=3844))
    n = 2 * np.pi * 3844 / 2500 - 1
    assert isinstance(found.beam, CosinePower) and found.beam.flux_lm == 2500
    assert found.beam.beam_angle_deg == pytest.approx(2 * np.degrees(np.arccos(0.5 ** (1 / n))), abs=1e-3)
    assert found.data_class == "fitted from one figure"


def test_lux_at_a_distance_is_intensity() -> None:
    peaks = fit_beam(Claims(peak_cd=3844, beam_angle_deg=40)).beam
    assert fit_beam(Claims(illuminance=((1.0, 62.0),), beam_angle_deg=40)).beam == peaks
    assert fit_beam(Claims(illuminance=((0.25, 124.0),), beam_angle_deg=40)).beam == peaks


@settings(max_examples=8, deadline=None, phases=(Phase.explicit, Phase.generate))
@given(flux=st.floats(100, 9000), width=st.floats(15, 80))
def test_rounded_claims_move_the_beam_by_no_more_than_their_rounding(flux: float, width: float) -> None:
    known = CosinePower(flux, width)
    exact = read_off(known)
    figures = {key: float(f"{exact[key]:.2g}") for key in ("flux_lm", "peak_cd")}
    figures["beam_angle_deg"] = float(f"{width:.2g}")
    found = fit_beam(Claims(**figures))
    assert found.warnings == () or {one.code for one in found.warnings} <= {176}
    assert_same_light(found.beam, known, 0.12)
    assert abs(found.beam.flux_lm / flux - 1) < 0.08


def test_the_same_claims_give_the_same_beam() -> None:
    claims = Claims(flux_lm=4200, peak_cd=9000, across_deg=50, up_deg=30, points=((10.0, 5.0, 6000.0),))
    assert fit_beam(claims).beam == fit_beam(claims).beam


def test_misfit_is_said_for_every_form() -> None:
    found = fit_beam(Claims(flux_lm=4200, across_deg=120, up_deg=40))
    assert [one.form for one in found.tried] == ["cosine-power", "elliptical-gaussian", "flat-top"]
    assert found.form == "flat-top" and "1 to 90 deg" in (found.tried[1].because or "")
