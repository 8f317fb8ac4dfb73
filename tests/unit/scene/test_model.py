"""What a scene may say, and how it is kept: names with units, SI inside, nothing that changes."""

from __future__ import annotations

import math
from collections.abc import Callable
from pathlib import Path

import pytest
from broken_scenes import BASE
from pydantic import ValidationError

from scenelux.errors import DocumentError, InputError
from scenelux.scene.model import SceneDocument
from scenelux.scene.read import read_scene
from scenelux.scene.vehicle import Vehicle, with_copies

Read = Callable[..., SceneDocument]


@pytest.fixture
def read(tmp_path: Path) -> Read:
    """Reads the base scene after some edits."""

    def after(*edits: tuple[str, str]) -> SceneDocument:
        text = BASE
        for old, new in edits:
            assert text.count(old) == 1, old
            text = text.replace(old, new)
        file = tmp_path / "scene.toml"
        file.write_text(text, encoding="utf-8")
        return read_scene(file)

    return after


def test_values_are_in_si(read: Read) -> None:
    scene = read()
    lamp = scene.vehicles[0].lamps[0]
    assert lamp.position_m == pytest.approx((-0.0762, 0.9652, 2.3622))
    assert (lamp.heading_deg, lamp.tilt_deg, lamp.roll_deg, lamp.light_loss_factor) == (180.0, -35.0, 0.0, 0.8)
    assert scene.site.posted_speed_m_s == pytest.approx(24.5872)
    assert scene.site.lanes[0].width_m == pytest.approx(3.3528)  # a bare number is in feet
    assert scene.vehicles[1].position_m == pytest.approx((20.0, 0.0))
    assert scene.areas[0].forward_m == pytest.approx((-3.048, 0.0))
    assert scene.areas[0].grid.spacing_m == pytest.approx(0.3048)
    assert scene.eyes[0].from_m == 150.0 and scene.eyes[0].height_m == 1.08
    assert scene.light["night"].factors == {"tail scene": pytest.approx(0.8)}


def test_what_is_not_said(read: Read) -> None:
    scene = read()
    assert scene.light["night"].road_luminance_cd_m2 == scene.light["night"].adaptation_luminance_cd_m2 == 0.1
    assert scene.areas[0].headroom_m == 2.0
    assert (scene.eyes[0].age_years, scene.eyes[0].pigmentation, scene.eyes[0].vehicle) == (25.0, 0.5, None)
    assert scene.criteria[0].states is None and scene.criteria[0].light is None
    assert scene.map.spacing_m is None
    assert scene.vehicles[0].pitch_deg == 0.0
    assert scene.name == "scene" and scene.demonstration


def test_metric_documents(read: Read) -> None:
    scene = read(('units = "us"', 'units = "metric"'))
    assert scene.site.lanes[0].width_m == 11.0


def test_a_lamp_may_have_its_own_light_loss_factor(read: Read) -> None:
    scene = read(('tilt = "-34 deg"', 'tilt = "-34 deg"\nlight_loss_factor = 0.7'))
    assert [lamp.light_loss_factor for lamp in scene.vehicles[0].lamps] == [0.8, 0.7]


def test_a_vehicle_like_another_has_its_bodies_and_lamps(read: Read) -> None:
    first, second = read().vehicles
    assert second.bodies == first.bodies
    assert [lamp.id for lamp in second.lamps] == ["second/tail-left", "second/tail-right"]
    assert second.lamps[0].position_m == first.lamps[0].position_m


def test_nothing_changes_after_reading(read: Read) -> None:
    with pytest.raises(ValidationError, match="frozen"):
        read().vehicles[0].lamps[0].tilt_deg = 0.0


@pytest.mark.parametrize(
    ("written", "direction", "words"),
    [
        ('"rear"', (-1.0, 0.0, 0.0), "rear"),
        ('"left"', (0.0, 1.0, 0.0), "left"),
        ('"120 deg"', (-0.5, math.sqrt(0.75), 0.0), "120 deg"),
        ("270", (0.0, -1.0, 0.0), "270 deg"),
        ("[-3, 4, 0]", (-0.6, 0.8, 0.0), "(-3, 4, 0)"),
    ],
)
def test_facing(written: str, direction: tuple[float, ...], words: str, read: Read) -> None:
    facing = read(('plane = "horizontal"', f'plane = "vertical"\nfacing = {written}')).areas[0].facing
    assert facing is not None
    assert facing.direction == pytest.approx(direction, abs=1e-15)
    assert facing.words == words


@pytest.mark.parametrize(
    "written", ['"backwards"', "[0, 0, 1]", "[1, 0, 1]", "[1, 0]", '["a", 0, 0]', "[1e999, 0, 0]", "true"]
)
def test_facing_that_is_none(written: str, read: Read) -> None:
    with pytest.raises(DocumentError, match=r"is not (a direction|horizontal)"):
        read(('plane = "horizontal"', f'plane = "vertical"\nfacing = {written}'))


@pytest.mark.parametrize(
    ("written", "kind", "angle", "point"),
    [
        ('"road"', "road", 0.0, None),
        ('"vehicle"', "vehicle", 0.0, None),
        ('"2.5 deg down"', "down", 2.5, None),
        ('"0° down"', "down", 0.0, None),
        ('"-90 deg"', "heading", -90.0, None),
        ('{ point = [10, "1 m", 0] }', "point", 0.0, (3.048, 1.0, 0.0)),
    ],
)
def test_gaze(written: str, kind: str, angle: float, point: tuple[float, ...] | None, read: Read) -> None:
    gaze = read(('"1 deg down"', written)).eyes[0].gaze[1]
    assert (gaze.kind, gaze.angle_deg) == (kind, angle)
    assert gaze.point_m == (pytest.approx(point) if point else None)
    assert gaze.words


@pytest.mark.parametrize(
    "written",
    ['"down"', '"-1 deg down"', '"91 deg down"', '"5 m down"', "5",
     "{ point = [1, 2] }", "{ point = [1, 2, 3], x = 1 }", '{ point = [1, 2, "3 lx"] }', '"400 deg"', "{ at = 1 }"],
)  # fmt: skip
def test_gaze_that_is_none(written: str, read: Read) -> None:
    with pytest.raises(InputError, match=r"eyes\[0\]\.gaze\[1\]"):
        read(('"1 deg down"', written))


def test_fixed_eye_takes_its_height_from_its_place(read: Read) -> None:
    path = 'lane = "next"\nfrom = "150 m"\nto = "20 m"\nheight = "1.08 m"'
    eye = read((path, 'at = [1, 2, "1.65 m"]')).eyes[0]
    assert eye.height_m == 1.65 and eye.lane is None and eye.at_m == pytest.approx((0.3048, 0.6096, 1.65))
    for wrong in ('at = [1, 2, 5]\nheight = "1 m"', 'at = [1, 2, 5]\nfrom = "5 m"', 'height = "1 m"', "at = [1, 2, 0]",
                  'at = [1, 2, 5]\nlane = "next"', 'lane = "next"\nheight = "1 m"'):  # fmt: skip
        with pytest.raises(DocumentError, match=r"eyes\[0\]"):
            read((path, wrong))


def test_areas_on_bodies(read: Read) -> None:
    outline = 'forward = ["-10 ft", "0 ft"]\nleft = ["-5 ft", "5 ft"]'
    area = read((outline, 'on = "box"')).areas[0]
    assert area.forward_m == pytest.approx((0.0, 7.3152)) and area.left_m == pytest.approx((-1.2192, 1.2192))
    area = read((outline, 'on = "box"\nforward = [1, 2]\nleft = [-1, 1]')).areas[0]
    assert area.forward_m == pytest.approx((0.3048, 0.6096))
    for wrong, piece in (
        ('on = "box"\nforward = [-1, 2]\nleft = [-1, 1]', "reaches beyond the top"),
        ('on = "box"\npolygon = [[1, 1], [2, 1], [2, 5]]', "reaches beyond the top"),
        ('on = "box"\nforward = [1, 2]', "only one of forward and left"),
        ("", "has no outline"),
        (outline + "\npolygon = [[1, 1], [2, 1], [2, 5]]", "both a rectangle and a polygon"),
    ):
        with pytest.raises(DocumentError, match=piece):
            read((outline, wrong))
    with pytest.raises(DocumentError, match="is turned"):
        read((outline, 'on = "box"'), ('up = ["1 ft 6 in", "8 ft"]', 'up = ["1 ft 6 in", "8 ft"]\nturn = "10 deg"'))
    with pytest.raises(DocumentError, match="area is of the site"):
        read((outline, 'on = "box"'), ('of = "truck"\n', ""))


@pytest.mark.parametrize(
    ("corners", "piece"),
    [
        ("[[0, 0], [1, 0], [1, 0], [0, 1]]", "same corner twice"),
        ("[[0, 0], [1, 0], [0, 1], [0, 0]]", "same corner twice"),
        ("[[0, 0], [1, 0], [2, 0]]", "encloses no area"),
        ("[[0, 0], [2, 2], [2, 0], [0, 2]]", "edges that cross"),
        ("[[0, 0], [4, 0], [4, 4], [2, 0], [0, 4]]", "edges that cross"),  # touches an edge from inside
        ("[]", "0 corners"),
        ("[[0, 0, 0], [1, 0], [1, 1]]", "too many parts"),
    ],
)
def test_polygons_that_are_none(corners: str, piece: str, read: Read) -> None:
    with pytest.raises(DocumentError, match=piece):
        read(('forward = ["-10 ft", "0 ft"]\nleft = ["-5 ft", "5 ft"]', f"polygon = {corners}"))


def test_polygons(read: Read) -> None:
    for corners in ("[[0, 0], [-4, 0], [-4, 4]]", "[[0, 0], [0, 4], [-2, 1], [-4, 4], [-4, 0]]"):
        area = read(('forward = ["-10 ft", "0 ft"]\nleft = ["-5 ft", "5 ft"]', f"polygon = {corners}")).areas[0]
        assert area.polygon_m is not None and area.polygon_m[0] == (0.0, 0.0)


@pytest.mark.parametrize(
    ("row", "piece"),
    [
        ('rule = "nfpa_rear_average"\nid = "x"\narea = "rear"', "names a rule and also gives id"),
        ('rule = "nfpa_rear_average"\narea = "rear"\neye = "car-next"', "both an area and an eye"),
        ('rule = "nfpa_rear_average"', "is judged on an area"),
        ('rule = "kkk_flood_side"\narea = "rear"', "kkk_flood_side"),
        ('rule = "nfpa_rear_average"\narea = "rear"\nstates = []', "states is empty"),
        ("", "has no rule"),
    ],
)
def test_criteria_that_are_none(row: str, piece: str, read: Read) -> None:
    with pytest.raises(DocumentError, match=piece):
        read(('rule = "nfpa_rear_average"\narea = "rear"', row))


@pytest.mark.parametrize(
    ("old", "new", "piece"),
    [
        ("limit = 0.3", "limit = -1", "out of range"),
        ('statistic = "maximum"', 'statistic = "minimum"', 'not a statistic of veiling luminance; give "maximum"'),
        ('quantity = "veiling luminance"', 'quantity = "glare"', "known: illuminance"),
        ('sense = "at most"', 'sense = "below"', "at least"),
        ('eye = "car-next"', 'area = "rear"', "names no eye"),
        ('id = "veil"', 'id = "nfpa_rear_minimum"', "name of a published rule"),
    ],
)
def test_own_rules_that_are_none(old: str, new: str, piece: str, read: Read) -> None:
    with pytest.raises(DocumentError, match=piece):
        read((old, new))


def test_places_of_errors_that_arise_later(read: Read) -> None:
    scene = read()
    error = scene.locate(DocumentError("is strange", accepted="give another"), "criteria[1].unit")
    assert (error.line, error.key) == (84, "criteria[1].unit")
    assert '"cd/m2" is strange; give another.' in str(error)


def test_one_lamp_at_least(tmp_path: Path) -> None:
    start = BASE.index("[[vehicles.lamps]]")
    end = BASE.index('[[vehicles]]\nid = "second"')
    file = tmp_path / "scene.toml"
    file.write_text((BASE[:start] + BASE[end:]).replace('lamps = ["tail-left"]', 'circuit = "warning"'))
    with pytest.raises(DocumentError, match="no lamp"):
        read_scene(file)


def test_own_quantities_are_those_that_are_judged() -> None:
    from scenelux.checks.criteria import NOT_STATED, QUANTITIES
    from scenelux.scene.criteria import OWN_QUANTITIES

    judged = {
        name: (kind.subject, kind.units, tuple(word for word in kind.statistics if word != NOT_STATED))
        for name, kind in QUANTITIES.items()
        if kind.subject != "lamp"
    }
    assert dict(OWN_QUANTITIES) == judged


def test_rules_are_those_that_are_judged() -> None:
    from scenelux.checks.packs import shipped_rules
    from scenelux.scene.tables import rule_subjects

    assert rule_subjects() == {name: rule.subject for name, rule in shipped_rules().items()}


def test_the_loss_factor_of_a_vehicle_holds_for_the_lamps_it_copies() -> None:
    lamp = {"id": "a", "luminaire": "x", "position": [0, 0, 1], "heading": 0, "circuit": "c"}
    first = Vehicle.model_validate({"id": "first", "light_loss_factor": 0.8, "lamps": [lamp]})
    dirty = Vehicle.model_validate({"id": "dirty", "like": "first", "light_loss_factor": 0.5})
    same = Vehicle.model_validate({"id": "same", "like": "first"})
    factors = [vehicle.lamps[0].light_loss_factor for vehicle in with_copies((first, dirty, same))]
    assert factors == [0.8, 0.5, 0.8]
