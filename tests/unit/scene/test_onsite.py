"""People, objects, weather and approaches of a scene: what may be said, what is filled in, and what is refused."""

from __future__ import annotations

from pathlib import Path

import pytest
from broken_scenes import BASE

from scenelux.errors import DocumentError, InputError
from scenelux.scene.model import SceneDocument
from scenelux.scene.read import check_document, read_scene
from scenelux.scene.sizes import MOST_ON_SITE
from scenelux.scene.tables import default_covers, paint_colours, sheeting_colours
from scenelux.scene.variants import apply_variant
from scenelux.vision import retro_materials

MORE = """\
[weather]
kind = "fog"
visibility = "200 m"

[[people]]
id = "worker"
of = "truck"
position = ["-6 ft", "2 ft"]
vest = "class 2"
heading = "180 deg"

[[people]]
id = "aloft"
of = "truck"
on = "box"
position = ["6 ft", "0 ft"]
pose = "crouching"
clothing = "30 %"

[[objects]]
id = "cone"
kind = "cone"
position = ["-12 m", "1 m", "0.1 m"]

[[objects]]
id = "chevrons"
kind = "panel"
of = "truck"
position = [0, 0, "2 ft"]
sheeting = "astm-d4956-iii"
colours = ["red", "yellow"]

[[approaches]]
id = "plain"
lane = "next"

[[approaches]]
id = "curve"
lane = "next"
from = "250 m"
radius = "-600 m"
profile = [["50 m", "1 m"], ["100 m", "2 m"]]
headlamps = { height = "0.7 m" }
people = ["worker"]

[[approaches]]
id = "dark"
lane = "next"
headlamps = "none"

[[eyes]]
id = "crew"
person = "worker"
gaze = ["ahead"]

[[eyes]]
id = "mirror"
of = "truck"
at = ["20 ft", "4 ft 6 in", "6 ft"]
gaze = ["180 deg"]

[variants.seen]
say = "Everybody in a vest of class 3"
changes = [{ people = ["worker", "aloft"], vest = "class 3" }, { people = ["aloft"], pose = "walking", heading = 90 }]

[variants.elsewhere]
say = "Everything further off"
changes = [
  { people = ["worker"], position = ["-9 ft", "4 ft", "1 ft"] }, { people = ["aloft"], position = ["5 ft", 1] },
  { objects = ["cone"], position = ["-20 m", "2 m"], heading = 90 },
  { objects = ["chevrons"], sheeting = "astm-d4956-ix" },
]

[variants.flat]"""
TEXT = BASE.replace("[variants.flat]", MORE)


def read(tmp_path: Path, *edits: tuple[str, str]) -> SceneDocument:
    text = TEXT
    for old, new in edits:
        assert text.count(old) == 1, f"{old}: {text.count(old)} places"
        text = text.replace(old, new)
    file = tmp_path / "scene.toml"
    file.write_text(text, encoding="utf-8")
    return read_scene(file)


def test_what_is_said(tmp_path: Path) -> None:
    scene = read(tmp_path)
    worker, aloft = scene.people
    assert worker.position_m == pytest.approx((-1.8288, 0.6096)) and worker.up_m is None
    assert (worker.vest, worker.heading_deg, worker.height_m) == ("class 2", 180.0, 1.75)
    assert (aloft.pose, aloft.clothing, aloft.on) == ("crouching", pytest.approx(0.3), "box")
    cone, chevrons = scene.objects
    assert (cone.up_m, cone.of, cone.sheeting, cone.colours) == (0.1, "site", None, None)
    assert (chevrons.sheeting, chevrons.colours) == ("astm-d4956-iii", ("red", "yellow"))
    assert (scene.weather.kind, scene.weather.visibility_m) == ("fog", 200.0)
    plain, curve, dark = scene.approaches
    assert (curve.radius_m, curve.profile_m) == (-600.0, ((50.0, 1.0), (100.0, 2.0)))
    assert curve.headlamps is not None and curve.headlamps.height_m == 0.7 and curve.people == ("worker",)
    assert dark.headlamps is None and plain.headlamps is not None
    assert scene.eyes[1].person == "worker" and scene.eyes[2].of == "truck"


def test_what_is_not_said(tmp_path: Path) -> None:
    scene = read(tmp_path)
    assert (scene.people[0].clothing, scene.people[1].vest) == ("dark coat or denim", "none")
    plain = scene.approaches[0]
    assert (plain.from_m, plain.to_m, plain.step_m, plain.eye_height_m) == (None, 20.0, 5.0, 1.08)
    assert (plain.ages_years, plain.visibility_level, plain.reaction_time_s) == ((25.0, 50.0, 70.0), 7.0, 2.5)
    assert (plain.people, plain.objects, plain.states, plain.light) == (None, None, None, None)
    bare = BASE.replace("[variants.flat]", "[weather]\n[variants.flat]")
    (tmp_path / "bare.toml").write_text(bare)
    assert read_scene(tmp_path / "bare.toml").weather.visibility_m is None


def test_the_luminaire_of_the_headlamps_is_found(tmp_path: Path) -> None:
    scene = read(tmp_path)
    assert "headlamp-low" in scene.luminaires
    assert any("headlamp-low" in item.file for item in scene.inputs)


def test_what_the_document_holds(tmp_path: Path) -> None:
    read(tmp_path)
    holds = check_document(str(tmp_path / "scene.toml")).holds
    assert "2 people, 2 objects, 3 approaches, 2 criteria" in holds


def test_a_variant_dresses_people(tmp_path: Path) -> None:
    scene = read(tmp_path)
    seen = apply_variant(scene, "seen")
    assert [person.vest for person in seen.people] == ["class 3", "class 3"]
    assert (seen.people[1].pose, seen.people[1].heading_deg) == ("walking", 90.0)
    assert [person.vest for person in scene.people] == ["class 2", "none"]
    assert seen.vehicles == scene.vehicles
    assert apply_variant(scene, "flat").people is scene.people


def test_a_variant_moves_people_and_objects(tmp_path: Path) -> None:
    scene = read(tmp_path)
    moved = apply_variant(scene, "elsewhere")
    worker, aloft = moved.people
    assert worker.position_m == pytest.approx((-2.7432, 1.2192, 0.3048)) and worker.up_m == pytest.approx(0.3048)
    assert aloft.position_m == pytest.approx((1.524, 0.3048)) and (aloft.on, aloft.pose) == ("box", "crouching")
    cone, chevrons = moved.objects
    assert (cone.position_m, cone.up_m, cone.heading_deg) == ((-20.0, 2.0), None, 90.0)
    assert (chevrons.sheeting, chevrons.colours) == ("astm-d4956-ix", ("red", "yellow"))
    assert chevrons.position_m == scene.objects[1].position_m and moved.vehicles == scene.vehicles
    assert scene.people[0].vest == worker.vest and scene.objects[0].position_m == (-12.0, 1.0, 0.1)


def test_the_stage_knows_the_colours_of_every_material() -> None:
    assert sheeting_colours() == retro_materials()
    assert {colour for colours in sheeting_colours().values() for colour in colours} <= set(paint_colours())
    for material, colours in default_covers().values():
        assert set(colours) <= set(sheeting_colours()[material])


REFUSED = {
    "pose unknown": ('"crouching"', '"kneeling"', "people[1].pose", "is not a word that is known here"),
    "vest unknown": ('"class 2"', '"class 4"', "people[0].vest", 'did you mean "class'),
    "clothing unknown": ('"30 %"', '"grei"', "people[1].clothing", 'did you mean "grey"'),
    "clothing above one": ('"30 %"', "1.2", "people[1].clothing", "0 to 1"),
    "clothing a list": ('"30 %"', "[]", "people[1].clothing", "known: black"),
    "one number for a place": ('["-6 ft", "2 ft"]', "[1]", "people[0].position", "has 1 parts"),
    "four numbers for a place": ('["-6 ft", "2 ft"]', "[1, 2, 3, 4]", "people[0].position", "[forward, left, up]"),
    "below the ground": ('["-6 ft", "2 ft"]', "[1, 2, -3]", "people[0].position", "0 to 100 m"),
    "word in a place": ('["-6 ft", "2 ft"]', '[1, "left"]', "people[0].position[1]", "is not a length"),
    "giant": ('vest = "class 2"', 'height = "3 m"', "people[0].height", "from 1.65 to 8.2 ft"),
    "two with one id": ('id = "aloft"', 'id = "worker"', "people[1].id", "people[0].id"),
    "id of a lamp": ('id = "cone"', 'id = "tail-left"', "objects[0].id", "vehicles[0].lamps[0].id"),
    "id of a vehicle": ('id = "cone"', 'id = "truck"', "objects[0].id", "vehicles[0].id"),
    "id of an eye": ('id = "plain"', 'id = "crew"', "approaches[0].id", "eyes[1].id"),
    "one file for two": ('id = "plain"', 'id = "Curve"', "approaches[1].id", 'same file names as "Curve"'),
    "of nobody": ('of = "truck"\non', 'of = "lorry"\non', "people[1].of", "the site or a vehicle"),
    "on nothing": ('on = "box"', 'on = "roof"', "people[1].on", "a body of truck"),
    "on of the site": ('of = "truck"\non = "box"', 'on = "box"', "people[1].on", "is of the site"),
    "beside the body": ('["6 ft", "0 ft"]', '["-6 ft", "0 ft"]', "people[1].position", 'top of the body "box"'),
    "on and up": ('["6 ft", "0 ft"]', "[6, 0, 1]", "people[1].position", "leave up out"),
    "kind unknown": ('kind = "cone"', 'kind = "con"', "objects[0].kind", 'did you mean "cone"'),
    "material unknown": ('"astm-d4956-iii"', '"astm-d4956-3"', "objects[1].sheeting", 'did you mean "astm-d4956-i"'),
    "colour unknown": ('["red", "yellow"]', '["red", "pink"]', "objects[1].colours[1]", "of astm-d4956-iii"),
    "paint unknown": (
        'sheeting = "astm-d4956-iii"\ncolours = ["red", "yellow"]',
        'sheeting = "none"\ncolours = ["pink"]',
        "objects[1].colours[0]",
        "a colour of paint",
    ),
    "sheeting in other colours": (
        '"astm-d4956-iii"\ncolours = ["red", "yellow"]', '"fluorescent-yellow-green"',
        "objects[1].sheeting", "does not come in red and yellow",
    ),
    "fog without visibility": ('visibility = "200 m"\n', "", "weather", "has fog and no visibility"),
    "clear with visibility": ('kind = "fog"\n', "", "weather", "in clear air"),
    "too thick": ('"200 m"', '"1 m"', "weather.visibility", "out of range"),
    "lane unknown": ('id = "plain"\nlane = "next"', 'id = "plain"\nlane = "nxt"', "approaches[0].lane", "next"),
    "person unknown": ('people = ["worker"]\n\n', 'people = ["work"]\n\n', "approaches[1].people[0]", "worker"),
    "light unknown": ('id = "plain"', 'id = "plain"\nlight = ["nigt"]', "approaches[0].light[0]", "night"),
    "no speed": ('posted_speed = "55 mph"\n', "", "approaches[0]", "has no speed"),
    "no nearer": ('"250 m"', '"10 m"', "approaches[1]", "comes no nearer"),
    "radius of a corner": ('"-600 m"', '"10 m"', "approaches[1].radius", "20 m or more"),
    "full circle": ('"-600 m"', '"60 m"', "approaches[1]", "half a circle"),
    "profile backwards": ('["100 m", "2 m"]', '["40 m", "2 m"]', "approaches[1].profile", "rising distances"),
    "profile of a wall": ('["100 m", "2 m"]', '["51 m", "2 m"]', "approaches[1].profile", "too steep"),
    "profile off the road": ('["50 m", "1 m"]', '["0 m", "1 m"]', "approaches[1].profile", "height 0 at distance 0"),
    "steps too small": ('id = "plain"', 'id = "plain"\nstep = "1 mm"', "approaches[0].step", "stations"),
    "headlamps in words": ('headlamps = "none"', 'headlamps = "low"', "approaches[2].headlamps", "is not a table"),
    "headlamps unknown": (
        'headlamps = "none"',
        'headlamps = { luminaire = "headlamp-lo" }',
        "approaches[2].headlamps.luminaire",
        'did you mean "headlamp-low"',
    ),
    "low beam of the other side": (
        'surface = "wet asphalt"',
        'traffic_side = "left"\nsurface = "wet asphalt"',
        "approaches[0]",
        "for right-hand traffic",
    ),
    "eye of nobody": ('person = "worker"', 'person = "walker"', "eyes[1].person", 'did you mean "worker"'),
    "eye with a height": ('person = "worker"', 'person = "worker"\nheight = "1.7 m"', "eyes[1]", "the person is"),
    "eye of two": ('person = "worker"', 'person = "worker"\nat = [0, 1, 2]', "eyes[1]", "one of lane, at and person"),
    "mirror of nobody": ('id = "mirror"\nof = "truck"', 'id = "mirror"\nof = "lorry"', "eyes[2].of", "a vehicle"),
    "mirror that looks ahead": ('gaze = ["180 deg"]', 'gaze = ["ahead"]', "eyes[2]", "no person's eye"),
    "eye of a lane on a vehicle": ('height = "1.08 m"', 'height = "1.08 m"\nof = "truck"', "eyes[0]", "no place"),
    "people with a tilt": ('["aloft"], pose', '["aloft"], tilt = 5, pose', "changes[1].tilt", "nothing that people"),
    "lamps with a vest": ('tilt = "0 deg" }', 'vest = "class 1" }', "changes[0].vest", "nothing that lamps have"),
    "people and lamps": ('["aloft"], pose', '["aloft"], lamps = ["tail-left"], pose', "changes[1]", "one of lamps"),
    "people unchanged": ('{ people = ["aloft"], pose = "walking", heading = 90 }', '{ people = ["aloft"] }',
                         "changes[1]", "give pose, clothing, vest, heading or position"),
    "objects unchanged": ('{ objects = ["chevrons"], sheeting = "astm-d4956-ix" }', '{ objects = ["chevrons"] }',
                          "changes[3]", "give position, heading or sheeting"),
    "object of a variant unknown": ('{ objects = ["cone"]', '{ objects = ["con"]', "changes[2].objects[0]", "cone"),
    "objects with a vest": ('"2 m"], heading = 90', '"2 m"], vest = "class 1"', "changes[2].vest", "that objects have"),
    "sheeting of a variant unknown": ('"astm-d4956-ix"', '"astm-d4956-x"', "changes[3].sheeting", "material that is"),
    "sheeting of a variant in other colours": ('"astm-d4956-ix"', '"fluorescent-yellow-green"', "changes[3].sheeting",
                                               "does not come in red"),
    "person of a variant beside the body": ('position = ["5 ft", 1]', 'position = ["-30 ft", 1]', "changes[1].position",
                                            "not above the top"),
    "person of a variant on a body and held": ('position = ["5 ft", 1]', 'position = ["5 ft", 1, 2]',
                                               "changes[1].position", "both a body"),
    "place of a person of one number": ('"4 ft", "1 ft"]', '"4 ft", "1 ft", 2]', "changes[0].position", "has 4 parts"),
    "place of a person under the ground": ('"4 ft", "1 ft"]', '"4 ft", "-1 ft"]', "changes[0].position", "up from 0"),
    "place of a lamp without up": ('tilt = "0 deg" }', 'position = [1, 2] }', "changes[0].position", "has 2 parts"),
    "objects and people": ('{ objects = ["cone"]', '{ people = ["aloft"], objects = ["cone"]', "changes[2]", "one of"),
    "people of a variant unknown": ('["worker", "aloft"]', '["worker", "alof"]', "changes[0].people[1]", "aloft"),
}  # fmt: skip


@pytest.mark.parametrize("name", REFUSED)
def test_refused(name: str, tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.chdir(tmp_path)
    old, new, key, piece = REFUSED[name]
    with pytest.raises(InputError) as caught:
        read(Path(), (old, new))
    text = str(caught.value)
    assert isinstance(caught.value, DocumentError) or "stations" in piece
    assert key in (caught.value.key or ""), text
    assert piece in text and text.startswith("scene.toml:") and text.endswith("."), text
    assert "\n" not in text and len(text) < 600, text
    assert caught.value.line and caught.value.accepted, text


@pytest.mark.parametrize("key", ["people", "objects", "approaches"])
def test_crowds_are_refused(key: str, tmp_path: Path) -> None:
    kind = {"people": "", "objects": 'kind = "cone"', "approaches": 'lane = "next"'}[key]
    place = "" if key == "approaches" else "position = [1, 2]"
    rows = "".join(f'[[{key}]]\nid = "n{i}"\n{kind}\n{place}\n' for i in range(MOST_ON_SITE + 1))
    (tmp_path / "scene.toml").write_text(BASE.replace("[variants.flat]", f"{rows}\n[variants.flat]"))
    with pytest.raises(InputError, match="at most") as caught:
        read_scene(tmp_path / "scene.toml")
    assert (caught.value.key or "").startswith(f"{key}[")


WORKER = """\
[[people]]
id = "worker"
of = "truck"
position = ["-6 ft", "2 ft"]
"""


def test_a_variant_that_moves_a_person_into_a_body_is_refused(tmp_path: Path) -> None:
    file = tmp_path / "scene.toml"
    moved = '{ people = ["worker"], position = [3, 0] }'
    text = f"{BASE}\n{WORKER}".replace('{ lamps = ["tail-left"], tilt = "5 deg" }', moved)
    file.write_text(text, encoding="utf-8")
    with pytest.raises(
        DocumentError, match=r'changes\[0\].position \[3, 0\] puts "worker" inside the body "box" of truck'
    ):
        check_document(file)
