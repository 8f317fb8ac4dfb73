"""Ranges, darkness and sums of the veil."""

from __future__ import annotations

import numpy as np
import pytest

from scenelux.errors import UsageError
from scenelux.vision import (
    FURTHER_VEIL_FORMS,
    HEADLINE_FORM,
    VEIL_FORMS,
    VeilForm,
    picture_veil_per_lux,
    sum_veil,
    veil_form,
    veil_per_lux,
    veiling_luminance,
)

EYE = {"age_years": 25.0, "pigmentation": 0.5}
ALL_FORMS = (*VEIL_FORMS, *FURTHER_VEIL_FORMS)


def test_headline_form_reaches_from_a_tenth_to_a_hundred_degrees() -> None:
    form = veil_form(HEADLINE_FORM)
    assert (form.name, form.minimum_deg, form.maximum_deg) == ("cie-general", 0.1, 100.0)


@pytest.mark.parametrize("form", ALL_FORMS, ids=lambda form: form.name)
def test_every_form_is_nan_just_outside_its_range_and_a_number_at_its_ends(form: VeilForm) -> None:
    low, high = form.minimum_deg, form.maximum_deg
    ends = veil_per_lux(form.name, [low, high], **EYE)
    assert np.isfinite(ends[0])
    assert np.isnan(ends[1]) == form.open_end
    outside = [np.nextafter(low, -1.0), np.nextafter(high, 200.0), -1.0, 180.0, np.nan]
    assert np.isnan(veil_per_lux(form.name, outside, **EYE)).all()


@pytest.mark.parametrize("form", VEIL_FORMS, ids=lambda form: form.name)
def test_every_form_names_its_source_and_a_status_that_was_read(form: VeilForm) -> None:
    assert form.source.title and form.source.edition and form.source.clause
    assert form.source.status in ("published", "quoted")
    assert form.range_source.status in ("published", "quoted")
    assert form.formula.startswith("Lv = ")


@pytest.mark.parametrize("form", VEIL_FORMS, ids=lambda form: form.name)
@pytest.mark.parametrize("angle", [0.0, 0.05, 70.0, 179.0, np.nan])
def test_a_lamp_that_gives_no_light_has_no_veil_whatever_its_angle(form: VeilForm, angle: float) -> None:
    assert veiling_luminance(form.name, 0.0, angle, **EYE) == 0.0


def test_a_lamp_that_gives_light_within_a_tenth_of_a_degree_is_nan_and_never_zero() -> None:
    assert np.isnan(veiling_luminance("cie-general", 1e-6, 0.099, **EYE))


@pytest.mark.parametrize("light", [-1.0, np.nan])
def test_light_that_is_no_light_is_nan(light: float) -> None:
    assert np.isnan(veiling_luminance("cie-general", light, 5.0, **EYE))


@pytest.mark.parametrize(
    ("age", "pigmentation"), [(-1.0, 0.5), (np.nan, 0.5), (25.0, -0.1), (25.0, 1.21), (25.0, np.nan)]
)
def test_eyes_that_no_form_covers_are_nan(age: float, pigmentation: float) -> None:
    assert np.isnan(veil_per_lux("cie-general", 5.0, age_years=age, pigmentation=pigmentation))


def test_pigmentation_hardly_matters_below_thirty_degrees() -> None:
    dark, light = (veil_per_lux("cie-general", [3.0, 90.0], age_years=25, pigmentation=p) for p in (0.0, 1.2))
    assert light[0] / dark[0] < 1.07
    assert light[1] / dark[1] > 2.0


def test_only_the_spread_function_reaches_the_line_of_sight_itself() -> None:
    reach = [form.name for form in ALL_FORMS if np.isfinite(veil_per_lux(form.name, 0.0, **EYE))]
    assert reach == ["cie-1999-psf"]


def test_forms_have_names_of_their_own_and_say_what_is_from_memory() -> None:
    assert len({form.name for form in ALL_FORMS}) == len(ALL_FORMS)
    assert [form.name for form in ALL_FORMS if form.source.status == "unconfirmed"] == ["rp8-fry"]
    for form in FURTHER_VEIL_FORMS:
        assert form.source.title and form.source.clause and form.range_source.title


@pytest.mark.parametrize("form", ALL_FORMS, ids=lambda form: form.name)
def test_age_and_pigmentation_may_be_arrays(form: VeilForm) -> None:
    ages, eyes = np.array([[25.0], [70.0]]), np.array([0.0, 0.5, 1.3])
    together = veil_per_lux(form.name, 5.0, age_years=ages, pigmentation=eyes)
    one_by_one = [[veil_per_lux(form.name, 5.0, age_years=a, pigmentation=p) for p in eyes] for a in ages[:, 0]]
    assert together.shape == (2, 3) and np.isnan(together[:, 2]).all()
    assert together[:, :2] == pytest.approx(np.array(one_by_one)[:, :2], rel=1e-15)


def test_sum_is_nan_where_a_lit_lamp_is_outside_and_tells_which() -> None:
    light = np.array([[1.0, 1.0, 0.0], [2.0, 2.0, 2.0]])
    angle = np.array([[5.0, 0.05, 0.05], [5.0, 5.0, 5.0]])
    veil = sum_veil("cie-general", light, angle, **EYE)
    assert np.isnan(veil.total_cd_m2).tolist() == [False, True, False]
    assert veil.outside.tolist() == [[False, True, False], [False, False, False]]
    assert veil.total_cd_m2[0] == pytest.approx(3.0 * veil_per_lux("cie-general", 5.0, **EYE))
    assert veil.by_lamp_cd_m2[:, 2] == pytest.approx([0.0, 2.0 * veil_per_lux("cie-general", 5.0, **EYE)])


def test_no_lamps_give_no_veil() -> None:
    veil = sum_veil("cie-general", np.zeros((0, 4)), np.zeros((0, 4)), **EYE)
    assert veil.total_cd_m2.tolist() == [0.0] * 4


def test_inputs_are_not_changed() -> None:
    light, angle = np.array([1.0, 0.0]), np.array([5.0, 0.01])
    veiling_luminance("cie-general", light, angle, **EYE)
    assert light.tolist() == [1.0, 0.0] and angle.tolist() == [5.0, 0.01]


def test_an_unknown_form_says_which_there_are() -> None:
    names = r"cie-general, .*en13201, .*rp8-fry\."
    with pytest.raises(UsageError, match=f'"fry" is not a form of the veil; give one of {names}'):
        veil_form("fry")


def test_a_picture_takes_each_form_where_it_holds() -> None:
    angles = np.array([0.0, 0.02, np.nextafter(0.1, 0.0), 0.1, 3.0, 100.0, 101.0, -1.0])
    ours = picture_veil_per_lux(angles, **EYE)
    near, far = (veil_per_lux(form, angles, **EYE) for form in ("cie-1999-psf", "cie-general"))
    assert ours[:3].tolist() == near[:3].tolist() and ours[3:6].tolist() == far[3:6].tolist()
    assert np.isnan(ours[6:]).all() and ours[2] / ours[3] == pytest.approx(1.11, abs=0.005)
