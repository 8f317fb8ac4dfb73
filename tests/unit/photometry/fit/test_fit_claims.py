"""Claims that contradict each other, that leave something open, or that are out of range: each by its numbers."""

from __future__ import annotations

import math
from typing import Any

import pytest

from scenelux.errors import InputError, LimitError, UsageError
from scenelux.photometry import FlatTop, flux_lm, read_lm63, sample, write_lm63
from scenelux.photometry.fit import Claims, fit_beam, least_flux_lm, most_flux_lm, points_of_table
from scenelux.photometry.fit.contradictions import cone_sr
from scenelux.photometry.hv.read import read_hv_table


@pytest.mark.parametrize(
    ("claims", "numbers"),
    [
        ({"flux_lm": 1000, "peak_cd": 10_000, "beam_angle_deg": 60}, ("10,000 cd", "60 deg", "4,209 lm", "1,000 lm")),
        (
            {"flux_lm": 1000, "flux_kind": "raw", "peak_cd": 10_000, "beam_angle_deg": 60},
            ("10,000 cd", "60 deg", "4,209 lm", "1,000 lm"),
        ),
        (
            {"flux_lm": 500, "illuminance": ((1.0, 100.0),), "across_deg": 80, "up_deg": 20},
            ("10,000 cd of 1 lx at 100 m", "80 x 20 deg", "1,800 lm", "500 lm"),
        ),
        ({"flux_lm": 100, "peak_cd": 10_000, "field_angle_deg": 60}, ("field of 60 deg", "841.8 lm", "a tenth")),
        (
            {"flux_lm": 2000, "flux_kind": "raw", "peak_cd": 12_000, "beam_angle_deg": 40},
            ("12,000 cd", "40 deg", "2,274 lm", "2,000 lm", "5 % is left for rounding"),
        ),
        (
            {"flux_lm": 2150, "peak_cd": 12_000, "beam_angle_deg": 40},
            ("needs at least 2,274 lm", "only 2,150 lm", "5 % is left for rounding"),
        ),
        (
            {"flux_lm": 1000, "peak_cd": 9000, "beam_angle_deg": 20, "field_angle_deg": 60},
            (
                "9,000 cd over a beam of 20 deg and a field of 60 deg",
                "at least 1,101 lm",
                "a tenth around it",
                "1,000 lm",
            ),
        ),
        (
            {"flux_lm": 2600, "flux_kind": "raw", "peak_cd": 12_000, "beam_angle_deg": 35},
            ("bare chips have 2,600 lm", "an upper limit", "the nearest beam sends 2,897 lm", "5 % is left"),
        ),
        (
            {"flux_lm": 10, "beam_angle_deg": 60, "points": ((9.0, -2.0, 10_000.0),)},
            ("10,000 cd of the point at 9, -2 deg", "60 deg", "4,209 lm", "10 lm"),
        ),
        ({"flux_lm": 0.001, "peak_cd": 100_000}, ("100,000 cd", "1 deg", "11.96 lm", "0.001 lm")),
        ({"flux_lm": 10_000, "peak_cd": 1000}, ("1,000 cd", "at most 6,283 lm", "10,000 lm are stated as delivered")),
        (
            {"flux_lm": 5000, "peak_cd": 1000, "beam_angle_deg": 20, "field_angle_deg": 40},
            ("1,000 cd", "20 deg", "at most 880", "5,000 lm"),
        ),
        (
            {"peak_cd": 10_000, "illuminance": ((1.0, 62.0),), "beam_angle_deg": 30},
            ("1 lx at 62 m", "3,844 cd", "160 %", "10,000 cd"),
        ),
        (
            {"illuminance": ((1.0, 62.0), (0.25, 180.0)), "beam_angle_deg": 30},
            ("0.25 lx at 180 m", "8,100 cd", "1 lx at 62 m", "3,844 cd", "111 %"),
        ),
        ({"flux_lm": 1000, "beam_angle_deg": 60, "field_angle_deg": 50}, ("50 deg", "60 deg")),
        ({"flux_lm": 1000, "across_deg": 60, "up_deg": 30, "field_up_deg": 30}, ("field angle of 30 deg", "of 30 deg")),
        ({"flux_lm": 1000, "across_deg": 60, "up_deg": 30, "field_angle_deg": 45}, ("45 deg", "60 deg")),
        ({"peak_cd": 100, "beam_angle_deg": 20, "points": ((5.0, 0.0, 200.0),)}, ("5, 0 deg", "200 cd", "100 cd")),
        ({"peak_cd": 100, "beam_angle_deg": 20, "relative_points": ((5.0, 0.0, 110.0),)}, ("5, 0 deg", "110 %")),
        (
            {"peak_cd": 100, "beam_angle_deg": 20, "points": ((0.0, 9.0, 20.0),), "cutoff_above_deg": 5},
            ("0, 9 deg", "20 cd", "cut-off at 5 deg"),
        ),
        ({"peak_cd": 100, "beam_angle_deg": 20, "cutoff_above_deg": -50}, ("-50 deg", "20 deg")),
    ],
)
def test_contradictions_are_refused_with_their_numbers(claims: dict[str, Any], numbers: tuple[str, ...]) -> None:
    with pytest.raises(UsageError) as caught:
        fit_beam(Claims(**claims))
    said = str(caught.value)
    assert all(number in said for number in numbers), said
    assert said.endswith(".") and "\n" not in said and said.count("..") == 0


@pytest.mark.parametrize(
    ("claims", "words"),
    [
        ({}, "how much light leaves the lamp is open"),
        ({"beam_angle_deg": 60}, "give the delivered lumens, the peak, an illuminance at a distance"),
        ({"beam_angle_deg": 60, "flux_lm": 900, "flux_kind": "raw"}, "lumens of bare chips only limit it"),
        ({"relative_points": ((5.0, 0.0, 50.0),)}, "how much light leaves the lamp is open"),
        ({"flux_lm": 100}, "the width of the beam is open"),
        ({"peak_cd": 100, "illuminance": ((1.0, 10.0),)}, "the width of the beam is open"),
        ({"points": ((5.0, 0.0, 50.0),)}, "the width of the beam is open"),
        ({"flux_lm": 100, "across_deg": 60}, "bottom to top is open; give the beam angle up"),
        ({"peak_cd": 100, "field_up_deg": 60}, "left to right is open; give the beam angle across"),
        (
            {"flux_lm": 100, "across_deg": 100, "up_deg": 40, "form": "elliptical-gaussian"},
            '"elliptical-gaussian" does not suit the claims: its beam angle is 1 to 90 deg; give flat-top',
        ),
        (
            {"flux_lm": 100, "across_deg": 50, "up_deg": 40, "form": "cosine-power"},
            "it is round, and the claims are not",
        ),
    ],
)
def test_too_few_claims_name_what_would_do(claims: dict[str, Any], words: str) -> None:
    with pytest.raises(UsageError) as caught:
        fit_beam(Claims(**claims))
    assert words in str(caught.value)


@pytest.mark.parametrize(
    ("claims", "key"),
    [
        ({"flux_lm": 0}, "flux_lm"),
        ({"flux_lm": math.nan}, "flux_lm"),
        ({"flux_lm": math.inf}, "flux_lm"),
        ({"peak_cd": -1}, "peak_cd"),
        ({"beam_angle_deg": 0.5}, "beam_angle_deg"),
        ({"across_deg": 161}, "across_deg"),
        ({"field_angle_deg": 181}, "field_angle_deg"),
        ({"beam_angle_deg": 20, "up_deg": 20}, "beam_angle_deg"),
        ({"field_angle_deg": 20, "field_across_deg": 20}, "field_angle_deg"),
        ({"cutoff_above_deg": 90}, "cutoff_above_deg"),
        ({"illuminance": ((1.0, 0.0),)}, "illuminance"),
        ({"illuminance": ((math.nan, 5.0),)}, "illuminance"),
        ({"points": ((91.0, 0.0, 5.0),)}, "points"),
        ({"points": ((math.nan, 0.0, 5.0),)}, "points"),
        ({"points": ((1.0, 0.0, -5.0),)}, "points"),
        ({"relative_points": ((1.0, 0.0, math.nan),)}, "relative_points"),
        ({"form": "laser"}, "form"),
        ({"flux_kind": "gross"}, "flux_kind"),
    ],
)
def test_figures_out_of_range(claims: dict[str, Any], key: str) -> None:
    with pytest.raises(UsageError) as caught:
        Claims(**claims)
    assert caught.value.key == key


def test_too_many_points() -> None:
    with pytest.raises(LimitError):
        Claims(points=((1.0, 1.0, 5.0),) * 1001)


def test_solid_angle_of_cones() -> None:
    """Round: 2 pi (1 - cos); half of it below the axis; an ellipse by a fine grid."""
    for width in (1.0, 40.0, 120.0, 180.0):
        round_sr = 2 * math.pi * (1 - math.cos(math.radians(width / 2)))
        assert cone_sr(width, width) == pytest.approx(round_sr, rel=1e-3)
        assert cone_sr(width, width, 0.0) == pytest.approx(round_sr / 2, rel=1e-3)
    step, total = 0.1, 0.0
    for i in range(-400, 400):
        for j in range(-200, 200):
            h, v = (i + 0.5) * step, (j + 0.5) * step
            if (h / 40) ** 2 + (v / 20) ** 2 < 1 and v < 7:
                total += math.cos(math.radians(h)) * math.radians(step) ** 2
    assert cone_sr(80, 40, 7.0) == pytest.approx(total, rel=2e-3)


def test_bounds_of_the_flux_by_hand() -> None:
    assert least_flux_lm(Claims(beam_angle_deg=60), 10_000) == pytest.approx(
        0.5 * 10_000 * 2 * math.pi * (1 - math.cos(math.radians(30)))
    )
    both = least_flux_lm(Claims(beam_angle_deg=60, field_angle_deg=100), 10_000)
    ring = 0.1 * 10_000 * 2 * math.pi * (math.cos(math.radians(30)) - math.cos(math.radians(50)))
    assert both == pytest.approx(least_flux_lm(Claims(beam_angle_deg=60), 10_000) + ring, rel=1e-6)
    assert most_flux_lm(Claims(cutoff_above_deg=0), 100) == pytest.approx(100 * math.pi)


@pytest.mark.parametrize(
    ("claims", "code", "words"),
    [
        ({"flux_lm": 8000, "flux_kind": "raw", "peak_cd": 12_000, "beam_angle_deg": 35}, 170, "10 to 40 %"),
        ({"flux_lm": 8000, "peak_cd": 12_000, "beam_angle_deg": 35}, 171, "8,000 lm are stated as delivered"),
        ({"flux_lm": 2600, "peak_cd": 12_000, "beam_angle_deg": 35}, 172, "2,600 lm are few"),
        (
            {"flux_lm": 2273, "peak_cd": 12_000, "beam_angle_deg": 40},
            172,
            "give 5,710 to 6,340 lm; no beam has less than 2,274 lm, of which 5 % is left for rounding",
        ),
        ({"peak_cd": 100, "beam_angle_deg": 30, "field_angle_deg": 33, "form": "cosine-power"}, 173, "stated 30 deg"),
        ({"flux_lm": 3000, "beam_angle_deg": 35}, 174, "one figure"),
        ({"flux_lm": 3000, "beam_angle_deg": 35, "cutoff_above_deg": 3}, 175, "sharp"),
        ({"flux_lm": 3000, "beam_angle_deg": 35, "form": "flat-top"}, 176, "rectangle"),
    ],
)
def test_doubtful_claims_are_taken_with_a_warning(claims: dict[str, Any], code: int, words: str) -> None:
    found = [str(one) for one in fit_beam(Claims(**claims)).warnings if one.code == code]
    assert found and words in found[0]


def test_chip_lumens_leave_the_decision_to_peak_and_angle() -> None:
    rest = fit_beam(Claims(peak_cd=12_000, beam_angle_deg=35)).beam
    raw = fit_beam(Claims(flux_lm=8000, flux_kind="raw", peak_cd=12_000, beam_angle_deg=35))
    offered = fit_beam(Claims(flux_lm=8000, peak_cd=12_000, beam_angle_deg=35))
    assert raw.beam == offered.beam == rest
    assert offered.residuals[0].claim == "flux of the bare chips, an upper limit"
    assert offered.residuals[0].percent == pytest.approx(-39.7, abs=0.1)


def test_lumens_of_chips_are_never_passed() -> None:
    """At 4,600 lm the least squares would pass the limit by 1 %."""
    claims = Claims(flux_lm=4600, flux_kind="raw", peak_cd=12_000, beam_angle_deg=35)
    found = fit_beam(claims)
    assert found.beam.flux_lm == 4600 and flux_lm(found.distribution) == pytest.approx(4600)
    for one in found.residuals[1:]:
        assert abs(one.percent) < 5.0


def test_between_the_bound_and_its_rounding_the_warning_names_one_range() -> None:
    few = [one.sentence for one in fit_beam(Claims(flux_lm=2600, peak_cd=12_000, beam_angle_deg=40)).warnings]
    assert few[0] == "2,600 lm are few for this peak and these angles, which give 5,710 to 6,340 lm"


def test_the_bound_leaves_rounding_once() -> None:
    """Half of the peak inside the beam, by hand, less 5 %."""
    least = 0.5 * 12_000 * 2 * math.pi * (1 - math.cos(math.radians(20)))
    fit_beam(Claims(flux_lm=0.951 * least, peak_cd=12_000, beam_angle_deg=40))
    with pytest.raises(UsageError, match="needs at least"):
        fit_beam(Claims(flux_lm=0.949 * least, peak_cd=12_000, beam_angle_deg=40))


def test_data_class_tells_on_how_many_figures_the_shape_rests() -> None:
    one, several = "fitted from one figure", "fitted from several figures"
    for claims, expected in (
        (Claims(flux_lm=4200, beam_angle_deg=60), one),
        (Claims(peak_cd=4200, illuminance=((1.0, 65.0),), beam_angle_deg=60), one),
        (Claims(flux_lm=4200, flux_kind="raw", peak_cd=3000, beam_angle_deg=60), one),
        (Claims(flux_lm=4200, peak_cd=4000), one),
        (Claims(flux_lm=4200, across_deg=80, up_deg=40), several),
        (Claims(flux_lm=4200, peak_cd=4000, beam_angle_deg=60), several),
        (Claims(flux_lm=4200, beam_angle_deg=60, field_angle_deg=100), several),
        (Claims(peak_cd=4200, points=((10.0, 0.0, 4000.0), (20.0, 0.0, 2500.0))), several),
    ):
        assert fit_beam(claims).data_class == expected, claims


def test_uncertainty_is_larger_outside_the_beam_and_smaller_with_more_figures() -> None:
    few = fit_beam(Claims(flux_lm=4200, beam_angle_deg=60)).uncertainty_percent
    known = FlatTop(4200, 60, 60, 20)
    height = sample(known).candela.max()
    more = fit_beam(
        Claims(flux_lm=4200, peak_cd=float(height), beam_angle_deg=60, field_angle_deg=71.8, form="flat-top")
    ).uncertainty_percent
    assert 10 <= more.in_beam_percent < few.in_beam_percent < 60
    assert few.outside_beam_percent >= 100 > few.in_beam_percent
    assert more.outside_beam_percent >= 100


def test_uncertainty_holds_the_residuals() -> None:
    found = fit_beam(Claims(flux_lm=2600, peak_cd=12_000, beam_angle_deg=35))
    assert found.uncertainty_percent.in_beam_percent >= max(abs(one.percent) for one in found.residuals)


def test_the_beam_angle_in_the_table_of_a_made_file_is_the_fitted_one() -> None:
    found = fit_beam(Claims(flux_lm=2500, beam_angle_deg=40, field_angle_deg=75))
    file = read_lm63(write_lm63(found.distribution, []))
    assert file.distribution.photometric_type == "C"


def test_points_of_tables_are_turned_into_the_angles_of_the_claims() -> None:
    """Type A of a laboratory: V about the level plane first, then H about the upright axis."""
    lines = ["# basis: measured", "point,cd", "5U-5L,10", "5U-5R,30", "20D-40L,20", "20D-40R,40"]
    points = points_of_table(read_hv_table("\n".join(lines).encode()))
    for (h, v, _), (left, up) in zip(points, ((5, 5), (-5, 5), (40, -20), (-40, -20)), strict=True):
        a, e = math.radians(left), math.radians(up)
        forward, sideways, upwards = math.cos(e) * math.cos(a), math.cos(e) * math.sin(a), math.sin(e)
        assert h == pytest.approx(-math.degrees(math.asin(sideways)), abs=1e-5)
        assert v == pytest.approx(math.degrees(math.atan2(upwards, forward)), abs=1e-5)
    with pytest.raises(InputError, match="the least that a rule asks for"):
        points_of_table(read_hv_table("\n".join(["# basis: required minimum", *lines[1:]]).encode()))
