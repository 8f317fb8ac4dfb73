"""Ends, gaps and names of the tables of retroreflection."""

from __future__ import annotations

import numpy as np
import pytest

from scenelux.errors import UsageError
from scenelux.vision import (
    diffuse_luminance,
    retro_angles,
    retro_materials,
    retro_table,
    retroreflected_luminance,
    retroreflection_at,
    retroreflection_coefficient,
    road_luminance,
)

EVERY = [(material, colour) for material, colours in retro_materials().items() for colour in colours]
VEST = "iso-20471-separate"


@pytest.mark.parametrize(("material", "colour"), EVERY)
def test_every_table_reads_and_falls_with_both_angles(material: str, colour: str) -> None:
    table = retro_table(material, colour)
    assert (np.diff(table.observation_deg) > 0).all() and (np.diff(table.entrance_deg) > 0).all()
    assert np.nanmin(table.coefficient) > 0.0
    for falling in (np.diff(table.coefficient, axis=0), np.diff(table.coefficient, axis=1)):
        assert not (falling > 0.0).any()
    assert table.source.title and (table.source.status == "quoted" or table.unconfirmed.all())


@pytest.mark.parametrize(("material", "colour"), EVERY)
def test_every_printed_number_comes_back(material: str, colour: str) -> None:
    table = retro_table(material, colour)
    at = np.meshgrid(table.observation_deg, table.entrance_deg, indexing="ij")
    found = retroreflection_at(material, *at, colour=colour)
    printed = ~np.isnan(table.coefficient)
    assert found.coefficient[printed] == pytest.approx(table.coefficient[printed], rel=1e-12)
    assert (found.unconfirmed == table.unconfirmed)[printed].all() and not found.beyond.any()


def test_nearer_than_the_first_angle_the_first_holds_and_beyond_the_last_nothing() -> None:
    found = retroreflection_at(VEST, [0.0, 0.1, 0.2, 1.5, 1.51, 90.0], [0.0, 2.0, 5.0, 40.0, 5.0, 5.0])
    assert found.coefficient == pytest.approx([330, 330, 330, 4, 0, 0], rel=1e-12)
    assert found.beyond.tolist() == [False, False, False, False, True, True]
    assert retroreflection_coefficient(VEST, 0.2, [40.0, 40.1, 120.0]) == pytest.approx([65, 0, 0], rel=1e-12)


def test_the_sign_of_the_entrance_angle_is_a_side() -> None:
    left, right = retroreflection_coefficient("astm-d4956-iii", 0.2, [-30.0, 30.0])
    assert left == right == pytest.approx(150.0)


def test_a_gap_in_a_table_is_nan_and_never_zero() -> None:
    between = retroreflection_coefficient("en-12899-ra2", [0.2, 0.3, 2.0], [30.0, 20.0, 30.0])
    assert between[0] == pytest.approx(150.0) and np.isnan(between[1:]).all()
    assert np.isfinite(retroreflection_coefficient("en-12899-ra2", [0.25, 1.0], 5.0)).all()


def test_a_number_that_leans_on_memory_says_so_and_its_neighbours_do_not() -> None:
    found = retroreflection_at("astm-d4956-iii", [0.2, 0.21, 0.5], -4.0, colour="brown")
    assert found.unconfirmed.tolist() == [False, True, True]
    assert not retroreflection_at("astm-d4956-iii", [0.2, 0.21, 0.5], -4.0, colour="red").unconfirmed.any()


@pytest.mark.parametrize(("observation", "entrance"), [(-0.1, 5.0), (np.nan, 5.0), (0.2, np.nan), (181.0, 5.0)])
def test_what_is_no_angle_is_nan(observation: float, entrance: float) -> None:
    assert np.isnan(retroreflection_coefficient(VEST, observation, entrance))


def test_unknown_names_say_which_there_are() -> None:
    with pytest.raises(UsageError, match=r'"tinsel" is not a retroreflective material; give one of iso-20471-separate'):
        retro_table("tinsel")
    with pytest.raises(UsageError, match=r'"pink" is not a colour of vehicle-tape-c2; give one of white, red'):
        retroreflection_coefficient("vehicle-tape-c2", 0.2, 4.0, colour="pink")


def test_angles_of_many_places_at_once() -> None:
    eyes = np.stack([np.linspace(-100, -20, 9), np.zeros(9), np.full(9, 1.08)], axis=-1)
    angles = retro_angles(eyes - [0, 0, 0.48], eyes, [0, 3, 1], [-1, 0, 0])
    assert angles.observation_deg.shape == angles.entrance_deg.shape == angles.view_deg.shape == (9,)
    assert (np.diff(angles.observation_deg) > 0).all() and (np.diff(angles.view_deg) > 0).all()


@pytest.mark.parametrize(("back", "light", "view"), [(-1, 1, 0), (1, -1, 0), (1, 1, 90), (1, 1, -1), (1, 1, np.nan)])
def test_luminances_of_nonsense_are_nan(back: float, light: float, view: float) -> None:
    assert np.isnan(retroreflected_luminance(back, light, view))


def test_a_matt_road_has_the_coefficient_of_its_reflectance() -> None:
    assert road_luminance(0.22 / np.pi, 15.0) == pytest.approx(diffuse_luminance(0.22, 15.0))
    assert np.isnan(diffuse_luminance([-0.1, 0.5], [1.0, -1.0])).all() and np.isnan(road_luminance(-0.1, 1.0))


@pytest.mark.parametrize(
    ("material", "entrance"), [(VEST, 5.0), (VEST, 25.0), ("astm-d4956-iii", 4.0), ("astm-d4956-iii", 17.0)]
)
def test_continued_beyond_a_table_by_its_last_slope(material: str, entrance: float) -> None:
    """log R goes straight on from the last two rows: no step at the end of the table, marked, up to 2 deg."""
    table = retro_table(material)
    before, last = table.observation_deg[-2:]
    ends = [float(retroreflection_coefficient(material, one, entrance)) for one in (before, last)]
    for observation in (last + 1e-9, 0.5 * (last + 2.0), 2.0):
        found = retroreflection_at(material, observation, entrance, continued=True)
        slow = ends[1] * (ends[1] / ends[0]) ** ((observation - last) / (last - before))
        assert float(found.coefficient) == pytest.approx(slow, rel=1e-9)
        assert found.beyond and found.unconfirmed
        assert float(retroreflection_coefficient(material, observation, entrance)) == 0.0
    inside = retroreflection_at(material, [0.1, last], entrance, continued=True)
    plain = retroreflection_at(material, [0.1, last], entrance)
    assert (inside.coefficient == plain.coefficient).all() and (inside.beyond == plain.beyond).all()
    assert float(retroreflection_coefficient(material, 2.01, entrance, continued=True)) == 0.0


def test_a_table_of_one_row_or_up_to_2_deg_is_not_continued() -> None:
    assert float(retroreflection_coefficient("en-12899-ra1", 2.5, 5.0, continued=True)) == 0.0
