"""Glare in the eyes of the crew beside the formulas written out, and why there may be no rating."""

from __future__ import annotations

from math import acos, cos, degrees, inf, isnan, log, log10, pi, radians, sin
from pathlib import Path

import pytest

from scenelux.checks.finding import RATING_PER_DECADE
from scenelux.placement import place
from scenelux.scene.read import read_scene
from scenelux.study.crew.watchers import near_face_m
from scenelux.study.results import CrewEntry, CrewEye, VariantResult, VerdictRow
from scenelux.study.simulate import simulate
from scenelux.vision import glare_rating
from tests.driver_scenes import driver_scene

REAR = '[[areas]]\nid = "rear"\nof = "truck"\nforward = [-8, 0]\nleft = [-2, 2]\nplane = "horizontal"\n'
YARD = REAR.replace('"rear"', '"yard"').replace("[-8, 0]", "[-20, 0]")
CREW = '{ id = "anna", of = "truck", position = [-5, 0.5], vest = "class 2" }'
MIRROR = '[[eyes]]\nid = "mirror"\nof = "truck"\nat = [5, 1.4, 1.9]\ngaze = ["180 deg"]\n'

TILT_DEG = -20
POWER = log(0.5) / log(cos(radians(30)))
PEAK_CD = 4200 * (POWER + 1) / (2 * pi)
LAMPS = ((-0.1, 1.0, 2.4), (-0.1, -1.0, 2.4))
EYE = (-5 + 0.0551 * 1.75, 0.5, 0.935 * 1.75)


def found(folder: Path, **parts: object) -> VariantResult:
    return simulate(driver_scene(folder, **parts)).variants[0]  # type: ignore[arg-type]


def of(variant: VariantResult, eye_id: str, light: str = "night") -> tuple[CrewEye, CrewEntry]:
    eye = next(one for one in variant.crew if one.eye_id == eye_id)
    return eye, next(one for one in eye.entries if one.light == light)


def dot(a: tuple[float, ...], b: tuple[float, ...]) -> float:
    return sum(x * y for x, y in zip(a, b, strict=True))


def literal(gaze: tuple[float, ...]) -> list[tuple[float, float]]:
    """Eye illuminance square to a line of sight and glare angle of each bare flood."""
    beam = (-cos(radians(TILT_DEG)), 0.0, sin(radians(TILT_DEG)))
    rows = []
    for lamp in LAMPS:
        away = tuple(a - b for a, b in zip(lamp, EYE, strict=True))
        distance = dot(away, away) ** 0.5
        cosine = dot(away, gaze) / distance
        intensity = PEAK_CD * max(0.0, -dot(away, beam) / distance) ** POWER
        rows.append((intensity * max(0.0, cosine) / distance**2, degrees(acos(cosine))))
    return rows


def literal_rating(gaze: tuple[float, ...], mean_lx: float, reflectance: float) -> float:
    veil = sum(10 * lux / angle**2 for lux, angle in literal(gaze) if angle <= 60)
    around = 0.035 * reflectance * mean_lx / pi
    return 27 + 24 * log10(veil / around**0.9) if veil else -inf


def test_the_rating_all_around_is_the_formula_written_out(tmp_path: Path) -> None:
    variant = found(tmp_path, people=CREW, more=REAR + YARD)
    eye, entry = of(variant, "anna")
    average = next(one for one in variant.areas[0].entries if one.light == "night").initial.average
    assert (eye.kind, eye.frame, eye.area_id, eye.surroundings) == ("person", "truck", "rear", "area rear")
    assert (eye.reflectance, eye.reflectance_from, eye.reflectance_status) == (0.1, "dry asphalt", "published")
    assert eye.position_m == pytest.approx(EYE) and eye.height_m == pytest.approx(EYE[2])
    assert entry.surroundings_lx == average and average > 1
    level, down = cos(radians(2)), -sin(radians(2))
    for heading, ours in zip(eye.headings_deg.tolist(), entry.rating_by_view.tolist(), strict=True):
        gaze = (level * cos(radians(heading)), level * sin(radians(heading)), down)
        assert ours == pytest.approx(literal_rating(gaze, average, 0.1), abs=0.02)
    assert entry.worst is not None
    assert entry.worst.glare_rating == max(entry.rating_by_view)
    assert entry.worst.gaze == "heading 0 deg" and entry.worst_heading_deg == 0


def test_own_lines_of_sight_are_ahead_and_towards_the_truck(tmp_path: Path) -> None:
    _, entry = of(found(tmp_path, people=CREW, more=REAR), "anna")
    ahead, towards = entry.gazes
    assert (ahead.gaze, ahead.direction) == ("ahead", pytest.approx((1, 0, 0)))
    away = tuple(a - b for a, b in zip((0, 0, 1.3), EYE, strict=True))  # the middle of the rear face
    gaze = tuple(part / dot(away, away) ** 0.5 for part in away)
    assert (towards.gaze, towards.direction) == ("towards truck", pytest.approx(gaze))
    rows = literal(gaze)
    assert towards.eye_illuminance_lx == pytest.approx(sum(lux for lux, _ in rows), rel=2e-3)
    eye_veil = sum(
        lux * (10 / t**3 + (5 / t**2 + 0.1 * 0.5 / t) * (1 + (25 / 62.5) ** 4) + 0.0025 * 0.5) for lux, t in rows
    )
    assert towards.veil_cd_m2 == pytest.approx(eye_veil, rel=2e-3)
    assert towards.glare_rating == pytest.approx(literal_rating(gaze, entry.surroundings_lx, 0.1), abs=0.02)


def test_the_line_towards_the_truck_never_rises_above_the_views_of_the_rating(tmp_path: Path) -> None:
    low = CREW.replace("vest", 'pose = "crouching", vest').replace("[-5, 0.5]", "[-1.5, 0.5]")
    _, entry = of(found(tmp_path, people=low, more=REAR), "anna")
    assert degrees(-entry.gazes[1].direction[2]) == pytest.approx(2.0, abs=0.01)


def test_the_near_face_is_that_of_the_side_on_which_the_eye_is(tmp_path: Path) -> None:
    truck = place(driver_scene(tmp_path)).vehicles["truck"]
    assert near_face_m(truck, (-3.0, 1.0, 1.6)) == pytest.approx((0, 0, 1.3))
    assert near_face_m(truck, (9.0, 1.0, 1.6)) == pytest.approx((6, 0, 1.3))
    assert near_face_m(truck, (2.0, 4.0, 1.6)) == pytest.approx((3, 1.2, 1.3))
    assert near_face_m(truck, (2.0, -4.0, 1.6)) == pytest.approx((3, -1.2, 1.3))
    assert near_face_m(truck, (2.0, 0.0, 9.0)) == pytest.approx((3, 0, 1.3))  # aloft: down at the whole


def test_aloft_the_line_towards_the_truck_looks_down(tmp_path: Path) -> None:
    aloft = '[[eyes]]\nid = "aloft"\nat = [3, -2, 9]\nage = 60\ngaze = ["90 deg"]\n'
    eye, entry = of(found(tmp_path, more=aloft), "aloft")
    assert (eye.kind, eye.age_years, eye.surroundings, eye.area_id) == ("place", 60, "the ground within 5 m", "")
    assert [one.gaze for one in entry.gazes] == ["90 deg", "towards truck"]
    assert entry.gazes[1].direction[2] < -0.9


def test_a_mirror_turns_with_its_vehicle_and_sees_the_lamps_behind(tmp_path: Path) -> None:
    """The truck's own floods shine away; those of a second truck behind it dazzle in the mirror."""
    van = (
        '[[vehicles]]\nid = "van"\nlight_loss_factor = 1\nposition = [-20, 0]\n'
        'lamps = [{ id = "glare", luminaire = "bare-flood", '
        'position = [0, 1.4, 1.9], heading = 0, circuit = "tail" }]\n'
    )
    _, dark = of(found(tmp_path, more=MIRROR), "mirror")
    eye, entry = of(found(tmp_path, more=MIRROR + van), "mirror")
    assert (eye.frame, eye.position_m) == ("truck", (5, 1.4, 1.9))
    assert dark.gazes[0].eye_illuminance_lx == 0
    assert entry.gazes[0].gaze == "180 deg" and entry.gazes[0].direction == pytest.approx((-1, 0, 0))
    assert entry.gazes[0].eye_illuminance_lx == pytest.approx(PEAK_CD / 25**2, rel=1e-3)
    assert isnan(entry.gazes[0].veil_cd_m2) and isnan(entry.gazes[0].glare_rating)  # straight into the lamp
    notes = " ".join(entry.notes)
    assert "180 deg: no cie-general veil, nearer than 0.1 deg to the line of sight is glare" in notes
    assert "180 deg: no rating, nearer than 1.5 deg to the line of sight is glare" in notes


def test_the_brightest_opening_is_intensity_over_the_area_that_is_seen(tmp_path: Path) -> None:
    opening = '[opening]\nshape = "ellipse"\nlength = "0.2 m"\nwidth = "0.2 m"\n'
    variant = with_opening(tmp_path, opening)
    _, entry = of(variant, "anna")
    towards = entry.gazes[1]
    assert towards.brightest is not None and towards.brightest.lamp == "left"
    beam = (-cos(radians(TILT_DEG)), 0.0, sin(radians(TILT_DEG)))
    away = tuple(a - b for a, b in zip(LAMPS[0], EYE, strict=True))
    cosine = -dot(away, beam) / dot(away, away) ** 0.5
    assert towards.brightest.luminance_cd_m2 == pytest.approx(PEAK_CD * cosine**POWER / (pi * 0.01 * cosine), rel=2e-3)
    assert towards.brightest.angle_deg == pytest.approx(literal(towards.direction)[0][1], abs=1e-6)
    assert of(found(tmp_path, people=CREW, more=REAR), "anna")[1].gazes[1].brightest is None  # a point has no luminance


def with_opening(folder: Path, opening: str) -> VariantResult:
    document = driver_scene(folder, people=CREW, more=REAR)
    card = folder / "bare-flood.toml"
    card.write_text(card.read_text(encoding="utf-8").replace("[source]", f"{opening}[source]"), encoding="utf-8")
    return simulate(read_scene(document.file)).variants[0]


def test_what_has_no_light_around_it_has_no_rating(tmp_path: Path) -> None:
    front = REAR.replace('"rear"', '"front"').replace("[-8, 0]", "[7, 12]")
    _, entry = of(found(tmp_path, people=CREW.replace("[-5, 0.5]", "[9, 0]"), more=front), "anna")
    assert entry.surroundings_lx == 0 and entry.worst is None and isnan(entry.rating_by_view[0])
    assert entry.notes == ("no light on area front: no glare rating",)


def test_an_eye_inside_a_body_has_no_value(tmp_path: Path) -> None:
    inside = '[[eyes]]\nid = "in"\nat = [3, 0, 1]\n'
    _, entry = of(found(tmp_path, more=inside), "in")
    assert entry.notes == ("the eye lies inside a body: no value",)
    assert all(isnan(one.eye_illuminance_lx) and one.brightest is None for one in entry.gazes)


def test_natural_light_is_left_out_and_told(tmp_path: Path) -> None:
    variant = found(tmp_path, people=CREW, more=REAR)
    (_, night), (_, day) = (of(variant, "anna", light) for light in ("night", "day"))
    assert day.worst is not None and night.worst is not None
    assert day.worst.glare_rating == night.worst.glare_rating
    assert any("10000 lx of natural light are left out" in note for note in day.notes) and not night.notes


def test_fog_takes_from_the_light_at_the_eye(tmp_path: Path) -> None:
    _, clear = of(found(tmp_path, people=CREW, more=REAR), "anna")
    fog = 'weather = { kind = "fog", visibility = "60 m" }'
    _, thick = of(found(tmp_path, people=CREW, more=REAR, weather=fog), "anna")
    share = thick.gazes[1].eye_illuminance_lx / clear.gazes[1].eye_illuminance_lx
    assert share == pytest.approx(2.718281828 ** (-3 * 5.0 / 60), rel=0.02)  # the lamps are some 5 m away


def rule(limit: float, eye: str, more: str = "") -> str:
    return (
        f'[[criteria]]\nid = "calm"\nquantity = "glare rating"\nstatistic = "maximum"\nsense = "at most"\n'
        f'limit = {limit}\nunit = "1"\nbecause = "Agreed with the crew."\neye = "{eye}"\nlight = ["night"]\n{more}\n'
    )


def verdict(folder: Path, more: str, **parts: object) -> VerdictRow:
    (row,) = found(folder, more=REAR + more, **parts).verdicts
    return row


HERS = '[[eyes]]\nid = "hers"\nperson = "anna"\ngaze = ["ahead"]\n'


def test_the_rating_can_be_the_quantity_of_a_rule_of_ones_own(tmp_path: Path) -> None:
    _, entry = of(found(tmp_path, people=CREW, more=REAR + HERS), "hers")
    assert entry.worst is not None
    row = verdict(tmp_path, HERS + rule(45, "hers"), people=CREW)
    assert (row.verdict, row.value, row.unit) == ("misses", entry.worst.glare_rating, "1")
    assert "largest glare rating" in row.because.lower() and "with the gaze heading 0 deg" in row.because
    assert "on area rear, reflectance 0.1 of dry asphalt (published)" in row.because
    assert verdict(tmp_path, HERS + rule(90, "hers"), people=CREW).verdict == "meets"
    ahead = verdict(tmp_path, HERS + rule(90, "hers", 'gaze = ["ahead"]'), people=CREW)
    assert ahead.value == entry.gazes[0].glare_rating


def test_data_may_be_off_by_what_the_logarithm_makes_of_them(tmp_path: Path) -> None:
    """10 % of light are one step of the rating, wherever on its scale."""
    assert float(glare_rating(10.0, 1.0) - glare_rating(1.0, 1.0)) == pytest.approx(RATING_PER_DECADE)
    _, entry = of(found(tmp_path, people=CREW, more=REAR + HERS), "hers")
    assert entry.worst is not None
    near, far = entry.worst.glare_rating + 0.9, entry.worst.glare_rating + 1.1
    assert verdict(tmp_path, HERS + rule(near, "hers"), people=CREW).inside_uncertainty
    assert not verdict(tmp_path, HERS + rule(far, "hers"), people=CREW).inside_uncertainty


def test_an_unconfirmed_limit_decides_nothing(tmp_path: Path) -> None:
    published = '[[criteria]]\nrule = "en12464_construction_glare"\neye = "hers"\nlight = ["night"]\n'
    row = verdict(tmp_path, HERS + published, people=CREW)
    assert row.verdict == "not assessed"
    assert row.because.startswith("Not assessed: the source is unconfirmed") and "against at most 50" in row.because


def test_no_lamp_in_sight_meets_and_a_driver_is_not_assessed(tmp_path: Path) -> None:
    row = verdict(tmp_path, HERS + rule(45, "hers"), people=CREW.replace("[-5, 0.5]", "[4, 2]"))
    assert (row.verdict, row.value) == ("meets", -inf)
    assert row.because.startswith("Largest glare rating none against at most 45, ")
    car = '[[eyes]]\nid = "car"\nlane = "next"\nfrom = 100\nto = 20\nheight = 1.1\n'
    row = verdict(tmp_path, car + rule(45, "car"))
    assert row.verdict == "not assessed" and "not for a driver who comes by" in row.because


ROOF = '[[areas]]\nid = "roof"\nof = "truck"\non = "body"\nplane = "horizontal"\n'


def test_who_stands_on_a_body_has_its_top_around_and_how_it_reflects(tmp_path: Path) -> None:
    """The smallest of the areas on one floor, and of several floors the highest below the eye."""
    inner = REAR.replace('"rear"', '"inner"').replace("[-2, 2]", "[-1, 1]")
    above = '{ id = "anna", of = "truck", on = "body", position = [3, 0] }'
    eye, _ = of(found(tmp_path, people=above, more=REAR + inner + ROOF), "anna")
    assert (eye.area_id, eye.reflectance, eye.reflectance_from) == ("roof", 0.4, "body body")
    eye, _ = of(found(tmp_path, people=CREW, more=REAR + inner + ROOF), "anna")
    assert (eye.area_id, eye.reflectance_from) == ("inner", "dry asphalt")
    high = REAR.replace('"horizontal"', '"horizontal"\nheight = 1')
    eye, _ = of(found(tmp_path, people=CREW, more=high), "anna")
    assert (eye.area_id, eye.surroundings) == ("", "the ground within 5 m")  # a table is not what she stands on


def test_the_ground_about_an_eye_is_the_mean_over_a_disk(tmp_path: Path) -> None:
    variant = found(tmp_path, people=CREW.replace("[-5, 0.5]", "[-9, 0.5]"))
    _, entry = of(variant, "anna")
    beam, total, count = (-cos(radians(TILT_DEG)), 0.0, sin(radians(TILT_DEG))), 0.0, 0
    x, y = variant.crew[0].position_m[:2]
    for i in range(20):
        for j in range(20):
            along, left = x + (i - 9.5) * 0.5, y + (j - 9.5) * 0.5
            if ((along - x) ** 2 + (left - y) ** 2) ** 0.5 > 5:
                continue
            count += 1
            for lamp in LAMPS:
                away = (along - lamp[0], left - lamp[1], -lamp[2])
                far = dot(away, away) ** 0.5
                total += PEAK_CD * max(0.0, dot(away, beam) / far) ** POWER * lamp[2] / far**3
    assert entry.surroundings_lx == pytest.approx(total / count, rel=2e-3)
