"""Which eye looks from where, what is asked for wrongly, and numbers of a whole view against their parts."""

from __future__ import annotations

from pathlib import Path

import numpy as np
import pytest

from scenelux.engine import Blockers, sight
from scenelux.errors import UsageError
from scenelux.placement import place
from scenelux.study.view.view import view
from scenelux.study.view.viewpoint import chosen_eye, viewpoint
from scenelux.vision import sum_veil
from tests.driver_scenes import APPROACH, driver_scene

WORKER = '{ id = "worker", name = "Worker", position = [-3, 0.5], heading = 180, vest = "class 2" }'
EYE = '[[eyes]]\nid = "crew"\nat = [-8, 0, 1.6]\nage = 30\n[[eyes]]\nid = "own"\nperson = "worker"\ngaze = ["ahead"]\n'
SMALL = (96, 54)


def test_numbers_of_a_view(tmp_path: Path) -> None:
    scene = driver_scene(tmp_path, people=WORKER)
    found = view(scene, distance_m=60, frame_px=SMALL)
    case = found.cases[0]
    assert (found.distance_m, found.height_m, found.age_years) == (60.0, 1.08, 70.0)
    assert case.lamps_on == ("left", "right")
    placed = place(scene)
    eye = np.array([-60.0, 3.2, 1.08])
    away = placed.lamps.position_m - eye
    distance = np.linalg.norm(away, axis=1)
    cosine = away[:, 0] / distance
    candela = sight(placed.lamps, Blockers.none(), [eye]).candela[:, 0]
    lux = candela / distance**2 * cosine
    assert case.eye_illuminance_lx == pytest.approx(lux.sum(), rel=1e-6)
    angle = np.degrees(np.arccos(cosine))
    veil = sum_veil("cie-general", lux, angle, age_years=70, pigmentation=0.5).total_cd_m2
    assert case.veil_cd_m2 == pytest.approx(float(veil), rel=1e-6)
    wide, zoom = case.frames
    assert (wide.field_deg, zoom.field_deg) == pytest.approx((40.0, 10.0))
    assert dict(zoom.outlines)["worker"].sum() > 3 * dict(wide.outlines)["worker"].sum()


def test_eyes_that_stay(tmp_path: Path) -> None:
    scene = driver_scene(tmp_path, people=WORKER, more=APPROACH + EYE)
    crew = view(scene, eye="crew", frame_px=SMALL)
    assert crew.age_years == 30 and crew.headlamps == "no own headlamps"
    assert crew.cases[0].eye_illuminance_lx > 1.0
    own = viewpoint(place(scene), chosen_eye(scene, eye="own"), 0.0)
    assert own.people == () and own.line_of_sight == pytest.approx([-1.0, 0.0, 0.0], abs=1e-9)


@pytest.mark.parametrize(
    ("asked", "says"),
    [
        ({"approach": "bus"}, "--approach .*is not an approach of this scene"),
        ({"eye": "bus"}, "--eye .*is not an eye of this scene"),
        ({"approach": "car", "eye": "crew"}, "asked for together"),
        ({"distance_m": 500.0}, "--distance .*not on this way; give 20 to 200 m"),
        ({"lights": ["dusk"]}, "--light .*is not a light level"),
        ({"state": "off"}, "--state .*is not a duty state"),
        ({"age_years": 80.0}, "--age .*the model of visibility ends there"),
        ({"variants": ["flat"]}, "flat"),
        ({"lights": ["night", "day"] * 4}, "at most 6"),
    ],
)
def test_what_cannot_be_drawn_is_one_sentence(tmp_path: Path, asked: dict[str, object], says: str) -> None:
    scene = driver_scene(tmp_path, people=WORKER, more=APPROACH + EYE)
    with pytest.raises(UsageError, match=says):
        view(scene, frame_px=SMALL, **asked)  # type: ignore[arg-type]


def test_a_scene_without_eyes(tmp_path: Path) -> None:
    with pytest.raises(UsageError, match="no approach and no eye"):
        view(driver_scene(tmp_path, more=""), frame_px=SMALL)


def test_weather_reaches_every_number(tmp_path: Path) -> None:
    clear = view(driver_scene(tmp_path, people=WORKER), frame_px=SMALL)
    fog = 'weather = { kind = "fog", visibility = "120 m" }'
    foggy = view(driver_scene(tmp_path, people=WORKER, weather=fog), frame_px=SMALL)
    assert foggy.weather == "fog, visibility 120 m"
    assert foggy.cases[0].eye_illuminance_lx == pytest.approx(
        clear.cases[0].eye_illuminance_lx * np.exp(-2.5), rel=0.03
    )
    assert abs(foggy.cases[0].targets[0].level) < abs(clear.cases[0].targets[0].level)
    assert any("Air" in note for note in foggy.notes)
