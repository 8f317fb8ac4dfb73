"""Laws of the data-sheet fit: it scales with the light, mirrors with the claims, and its bounds hold for every beam."""

from __future__ import annotations

import pytest
from hypothesis import Phase, given, settings
from hypothesis import strategies as st

from scenelux.photometry import CosinePower, EllipticalGaussian, FlatTop, beam_angles, default_orientation, peak, sample
from scenelux.photometry.fit import Claims, fit_beam, least_flux_lm, most_flux_lm

SHAPES = (
    {"beam_angle_deg": 37.0},
    {"across_deg": 70.0, "up_deg": 30.0},
    {"beam_angle_deg": 37.0, "field_angle_deg": 60.0},
    {"beam_angle_deg": 50.0, "cutoff_above_deg": 6.0},
)


@settings(max_examples=12, deadline=None, phases=(Phase.explicit, Phase.generate))
@given(k=st.floats(0.01, 100), shape=st.sampled_from(SHAPES), off=st.floats(0.9, 1.1))
def test_twice_the_light_is_twice_the_beam(k: float, shape: dict[str, float], off: float) -> None:
    first = fit_beam(Claims(flux_lm=3000.0, **shape))
    top = peak(first.distribution).candela * off
    pair = []
    for factor in (1.0, k):
        pair.append(
            fit_beam(
                Claims(
                    flux_lm=3000.0 * factor,
                    peak_cd=top * factor,
                    illuminance=((top * factor / 2500.0, 50.0),),
                    points=((4.0, -3.0, 0.9 * top * factor),),
                    **shape,
                )
            )
        )
    one, scaled = pair
    assert scaled.form == one.form and scaled.data_class == one.data_class
    assert scaled.beam.flux_lm == pytest.approx(k * one.beam.flux_lm, rel=1e-4)
    widths = [{key: value for key, value in vars(fit.beam).items() if key != "flux_lm" and value} for fit in pair]
    assert widths[1] == pytest.approx(widths[0], rel=1e-4)
    assert scaled.uncertainty_percent.in_beam_percent == pytest.approx(
        one.uncertainty_percent.in_beam_percent, rel=1e-3
    )


@settings(max_examples=8, deadline=None, phases=(Phase.explicit, Phase.generate))
@given(across=st.floats(8, 80), up=st.floats(8, 80), flux=st.floats(10, 9000))
def test_across_and_up_change_places(across: float, up: float, flux: float) -> None:
    """Nearly: H and V of type B differ by cos H, which changes the size and not the widths."""
    one = fit_beam(Claims(flux_lm=flux, across_deg=across, up_deg=up)).beam
    other = fit_beam(Claims(flux_lm=flux, across_deg=up, up_deg=across)).beam
    if isinstance(one, EllipticalGaussian) and isinstance(other, EllipticalGaussian):
        assert (one.across_deg, one.up_deg) == pytest.approx((other.up_deg, other.across_deg))


BEAMS = st.one_of(
    st.builds(CosinePower, st.just(1000.0), st.floats(1, 150)),
    st.builds(EllipticalGaussian, st.just(1000.0), st.floats(1, 90), st.floats(1, 90)),
    st.builds(
        lambda a, u, soft: FlatTop(1000.0, a, u, 0.5 + soft * (min(a, u, 180 - max(a, u)) - 0.5)),
        st.floats(1, 160),
        st.floats(1, 160),
        st.floats(0, 1),
    ),
)


@settings(max_examples=60, deadline=None, phases=(Phase.explicit, Phase.generate))
@given(beam=BEAMS)
def test_no_beam_beats_the_bounds_that_refuse_claims(beam: CosinePower | EllipticalGaussian | FlatTop) -> None:
    table = sample(beam)
    widths = beam_angles(table, default_orientation(table.photometric_type))
    claims = Claims(across_deg=max(widths.across_deg, 1.0), up_deg=max(widths.up_deg, 1.0))
    top = peak(table).candela
    assert least_flux_lm(claims, top) < 1000.0 < most_flux_lm(claims, top)
