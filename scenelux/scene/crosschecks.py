"""Checks across a scene: names that must be known or used once, and parts that must fit together."""

from __future__ import annotations

from collections.abc import Collection, Iterator

from scenelux.errors import DocumentError
from scenelux.names import slug
from scenelux.scene.approaches import LOW_BEAM
from scenelux.scene.document import Document
from scenelux.scene.model import RoadObject, SceneText
from scenelux.scene.positions import KeyPath, path_text
from scenelux.scene.signal_checks import signal_faults, signal_references
from scenelux.scene.tables import default_covers, paint_colours, rule_subjects, sheeting_colours, surface_names
from scenelux.scene.variants import changed_on_site
from scenelux.scene.words import near

__all__ = ["check_references"]


def check_references(scene: SceneText, document: Document) -> list[DocumentError]:
    """Everything that a scene, with copied vehicles filled in, names and does not have, or has twice."""
    found = [
        *_unknown(scene),
        *_repeated(scene),
        *_same_files(scene),
        *_wrong_side(scene),
        *_misfits(scene),
    ]
    # What is wrong with a copied vehicle follows from the one that it is like.
    written = [fault for fault in found if fault[0] in document.places] or found
    return [document.error(path, what, accepted, at_key=_names_itself(path)) for path, what, accepted in written]


_A_SHEETING = "a retroreflective material that is known"


def _names_itself(path: KeyPath) -> bool:
    """Whether the key is at fault and not its value: circuits in levels and factors, names of the tables below."""
    named = path[:1] in (("variants",), ("states",), ("light",)) and len(path) == 2
    return named or path[-2:-1] in (("circuits",), ("factors",))


_Fault = tuple[KeyPath, str, str]


def _unknown(scene: SceneText) -> Iterator[_Fault]:
    for path, name, known, what in _references(scene):
        if name not in known:
            yield path, f"is not {what}", near(name, known)


def _repeated(scene: SceneText) -> Iterator[_Fault]:
    told: set[KeyPath] = set()
    for names in _names_used_once(scene):
        first: dict[str, KeyPath] = {}
        for path, name in names:
            if name in first and path not in told:
                told.add(path)
                yield path, "is used twice", f"it is also {path_text(first[name])}: rename one"
            first.setdefault(name, path)


def _same_files(scene: SceneText) -> Iterator[_Fault]:
    """Names of one kind that differ and give one file name: "a b" and "A-b"."""
    for names in _names_of_files(scene):
        first: dict[str, str] = {}
        for path, name in names:
            other = first.setdefault(slug(name), name)
            if other != name:
                yield path, f'gives the same file names as "{other}"', "rename one: only letters and digits count"
    states = {slug(name): name for name in scene.states}
    lights = {slug(name): name for name in scene.light}
    for light, name in lights.items():
        for cut in (at for at, letter in enumerate(light) if letter == "-" and light[at + 1 :] in lights):
            for state in (state for state in states if f"{state}-{light[:cut]}" in states):
                joined = f'"{states[f"{state}-{light[:cut]}"]}" with "{lights[light[cut + 1 :]]}"'
                yield ("light", name), f'with "{states[state]}" gives the same file names as {joined}', "rename one"


def _names_of_files(scene: SceneText) -> Iterator[list[tuple[KeyPath, str]]]:
    yield [(("areas", i, "id"), area.id) for i, area in enumerate(scene.areas)]
    yield [(("windows", i, "id"), window.id) for i, window in enumerate(scene.windows)]
    yield [(("eyes", i, "id"), eye.id) for i, eye in enumerate(scene.eyes)]
    yield [(("approaches", i, "id"), approach.id) for i, approach in enumerate(scene.approaches)]
    yield [(("base",), scene.base), *((("variants", name), name) for name in scene.variants)]
    yield [(("states", name), name) for name in scene.states]
    yield [(("light", name), name) for name in scene.light]


def _wrong_side(scene: SceneText) -> Iterator[_Fault]:
    """Opposite lanes that lie where traffic of this side of the road does not come from."""
    side = 1.0 if scene.site.traffic_side == "right" else -1.0  # left of every lane of the same direction, or right
    same = [side * lane.centre_left_m for lane in scene.site.lanes if lane.direction == "same"]
    for i, lane in enumerate(scene.site.lanes):
        if lane.direction == "opposite" and same and side * lane.centre_left_m <= max(same):
            place = "left" if side > 0.0 else "right"
            problem = f"puts an opposite lane on the wrong side for {scene.site.traffic_side}-hand traffic"
            accepted = f"place it {place} of every lane of the same direction, or change direction or site.traffic_side"
            yield ("site", "lanes", i, "centre_left"), problem, accepted


_Reference = tuple[KeyPath, str, Collection[str], str]


def _references(scene: SceneText) -> Iterator[_Reference]:
    yield ("site", "surface"), scene.site.surface, surface_names(), "a surface that is known"
    yield from _circuit_references(scene)
    yield from _vehicle_references(scene)
    yield from _eye_references(scene)
    yield from _onsite_references(scene)
    yield from _approach_references(scene)
    yield from _criterion_references(scene)
    yield from _variant_references(scene)
    yield from signal_references(scene)


def _circuit_references(scene: SceneText) -> Iterator[_Reference]:
    circuits, a_circuit = tuple(scene.circuits), "a circuit of this scene"
    for i, vehicle in enumerate(scene.vehicles):
        for j, lamp in enumerate(vehicle.lamps):
            yield ("vehicles", i, "lamps", j, "circuit"), lamp.circuit, circuits, a_circuit
    for name, state in scene.states.items():
        for circuit in state.circuits:
            yield ("states", name, "circuits", circuit), circuit, circuits, a_circuit
    for name, level in scene.light.items():
        for circuit in level.factors:
            yield ("light", name, "factors", circuit), circuit, circuits, a_circuit


def _vehicle_references(scene: SceneText) -> Iterator[_Reference]:
    vehicles = tuple(vehicle.id for vehicle in scene.vehicles)
    for i, vehicle in enumerate(scene.vehicles):
        if vehicle.like is not None:
            yield ("vehicles", i, "like"), vehicle.like, vehicles[:i], "a vehicle above this one"
    for i, area in enumerate(scene.areas):
        yield ("areas", i, "of"), area.of, ("site", *vehicles), "the site or a vehicle"
        if area.on is not None and area.of in vehicles:
            bodies = scene.vehicles[vehicles.index(area.of)].bodies
            yield ("areas", i, "on"), area.on, tuple(body.id for body in bodies), f"a body of {area.of}"


def _eye_references(scene: SceneText) -> Iterator[_Reference]:
    lanes = tuple(lane.id for lane in scene.site.lanes)
    vehicles = tuple(vehicle.id for vehicle in scene.vehicles)
    for i, eye in enumerate(scene.eyes):
        if eye.lane is not None:
            yield ("eyes", i, "lane"), eye.lane, lanes, "a lane of this site"
        if eye.vehicle is not None:
            yield ("eyes", i, "vehicle"), eye.vehicle, vehicles, "a vehicle of this scene"
        if eye.of is not None:
            yield ("eyes", i, "of"), eye.of, vehicles, "a vehicle of this scene"
        if eye.person is not None:
            yield ("eyes", i, "person"), eye.person, tuple(one.id for one in scene.people), "a person of this scene"


def _onsite_references(scene: SceneText) -> Iterator[_Reference]:
    bodies = {vehicle.id: tuple(body.id for body in vehicle.bodies) for vehicle in scene.vehicles}
    for key, standing in (("people", scene.people), ("objects", scene.objects)):
        for i, one in enumerate(standing):
            yield (key, i, "of"), one.of, ("site", *bodies), "the site or a vehicle"
            if one.on is not None and one.of in bodies:
                yield (key, i, "on"), one.on, bodies[one.of], f"a body of {one.of}"
    for i, item in enumerate(scene.objects):
        if item.sheeting is not None:
            yield ("objects", i, "sheeting"), item.sheeting, ("none", *sheeting_colours()), _A_SHEETING
        comes_in, of = _colours_of(item)
        for j, colour in enumerate(item.colours or ()):
            yield ("objects", i, "colours", j), colour, comes_in or (colour,), f"a colour of {of}"


def _colours_of(item: RoadObject) -> tuple[Collection[str], str]:
    """Colours in which the sheeting of an object comes, and what it is; no colours where it is not known."""
    named = item.sheeting or default_covers()[item.kind][0]
    return (paint_colours(), "paint") if named == "none" else (sheeting_colours().get(named, ()), named)


def _approach_references(scene: SceneText) -> Iterator[_Reference]:
    known: dict[str, tuple[Collection[str], str]] = {
        "people": (tuple(one.id for one in scene.people), "a person of this scene"),
        "objects": (tuple(one.id for one in scene.objects), "an object of this scene"),
        "states": (tuple(scene.states), "a duty state of this scene"),
        "light": (tuple(scene.light), "a light level of this scene"),
    }
    for i, approach in enumerate(scene.approaches):
        at: KeyPath = ("approaches", i)
        yield (*at, "lane"), approach.lane, tuple(lane.id for lane in scene.site.lanes), "a lane of this site"
        if approach.vehicle is not None:
            vehicles = tuple(vehicle.id for vehicle in scene.vehicles)
            yield (*at, "vehicle"), approach.vehicle, vehicles, "a vehicle of this scene"
        for key, (names, what) in known.items():
            for j, name in enumerate(getattr(approach, key) or ()):
                yield (*at, key, j), name, names, what


def _criterion_references(scene: SceneText) -> Iterator[_Reference]:
    areas, eyes = tuple(area.id for area in scene.areas), tuple(eye.id for eye in scene.eyes)
    for i, row in enumerate(scene.criteria):
        if row.rule is not None:
            yield ("criteria", i, "rule"), row.rule, tuple(rule_subjects()), "a rule that is known"
        if row.area is not None:
            yield ("criteria", i, "area"), row.area, areas, "an area of this scene"
        if row.eye is not None:
            yield ("criteria", i, "eye"), row.eye, eyes, "an eye of this scene"
        for j, gaze in enumerate(row.gaze or ()):
            known = tuple(one.words for eye in scene.eyes if eye.id == row.eye for one in eye.gaze)
            yield ("criteria", i, "gaze", j), gaze, known, "a gaze of that eye"
        for j, state in enumerate(row.states or ()):
            yield ("criteria", i, "states", j), state, tuple(scene.states), "a duty state of this scene"
        for j, light in enumerate(row.light or ()):
            yield ("criteria", i, "light", j), light, tuple(scene.light), "a light level of this scene"


def _variant_references(scene: SceneText) -> Iterator[_Reference]:
    lamps = tuple(lamp.id for vehicle in scene.vehicles for lamp in vehicle.lamps)
    for name, variant in scene.variants.items():
        if variant.based_on is not None:
            known = (scene.base, *(other for other in scene.variants if other != name))
            yield ("variants", name, "based_on"), variant.based_on, known, "another variant of this scene"
        for j, change in enumerate(variant.changes):
            at: KeyPath = ("variants", name, "changes", j)
            for k, lamp in enumerate(change.lamps or ()):
                yield (*at, "lamps", k), lamp, lamps, "a lamp of this scene"
            for k, person in enumerate(change.people or ()):
                yield (*at, "people", k), person, tuple(one.id for one in scene.people), "a person of this scene"
            for k, item in enumerate(change.objects or ()):
                yield (*at, "objects", k), item, tuple(one.id for one in scene.objects), "an object of this scene"
            if change.sheeting is not None:
                yield (*at, "sheeting"), change.sheeting, ("none", *sheeting_colours()), _A_SHEETING
            if change.circuit is not None:
                yield (*at, "circuit"), change.circuit, tuple(scene.circuits), "a circuit of this scene"


def _names_used_once(scene: SceneText) -> Iterator[list[tuple[KeyPath, str]]]:
    # People and objects are named beside vehicles and beside lamps.
    onsite: list[tuple[KeyPath, str]] = [(("people", i, "id"), one.id) for i, one in enumerate(scene.people)]
    onsite += [(("objects", i, "id"), one.id) for i, one in enumerate(scene.objects)]
    yield [*((("vehicles", i, "id"), vehicle.id) for i, vehicle in enumerate(scene.vehicles)), *onsite]
    lamps = [
        (("vehicles", i, "lamps", j, "id"), lamp.id)
        for i, vehicle in enumerate(scene.vehicles)
        for j, lamp in enumerate(vehicle.lamps)
    ]
    yield [*lamps, *onsite]
    for i, vehicle in enumerate(scene.vehicles):
        yield [(("vehicles", i, "bodies", j, "id"), body.id) for j, body in enumerate(vehicle.bodies)]
    yield [(("site", "lanes", i, "id"), lane.id) for i, lane in enumerate(scene.site.lanes)]
    # Areas, windows, eyes and approaches name files and rows of the same report.
    yield [
        *((("areas", i, "id"), area.id) for i, area in enumerate(scene.areas)),
        *((("windows", i, "id"), window.id) for i, window in enumerate(scene.windows)),
        *((("eyes", i, "id"), eye.id) for i, eye in enumerate(scene.eyes)),
        *((("approaches", i, "id"), approach.id) for i, approach in enumerate(scene.approaches)),
    ]
    yield [
        *((("criteria", i, "id"), row.id) for i, row in enumerate(scene.criteria) if row.id is not None),
        *((("signal_criteria", i, "id"), row.id) for i, row in enumerate(scene.signal_criteria) if row.id is not None),
    ]
    yield [(("base",), scene.base), *((("variants", name), name) for name in scene.variants)]


def _misfits(scene: SceneText) -> Iterator[_Fault]:
    """Things that are known and do not fit together."""
    if not any(vehicle.lamps for vehicle in scene.vehicles):
        yield ("vehicles",), "have no lamp", "give at least one"
    for i, vehicle in enumerate(scene.vehicles):
        if vehicle.id == "site":
            yield ("vehicles", i, "id"), "is the name of the site", "rename the vehicle"
    for i, area in enumerate(scene.areas):
        if area.on is not None and area.of == "site":
            yield ("areas", i, "on"), "is on a body, and the area is of the site", "give the body's vehicle with of"
    yield from _misfits_on_site(scene)
    yield from signal_faults(scene)
    subjects = rule_subjects()
    for i, row in enumerate(scene.criteria):
        if row.rule is not None and row.rule in subjects:
            subject = subjects[row.rule]
            named = "area" if row.area is not None else "eye" if row.eye is not None else "lamp"
            if subject != named:
                accepted = f"name one {subject}" if subject != "lamp" else "leave area and eye out"
                yield ("criteria", i, "rule"), f"is judged on {_a(subject)}", accepted
        if row.id is not None and row.id in subjects:
            yield ("criteria", i, "id"), "is the name of a published rule", "rename the row"
    for name in scene.variants:
        if _circle(scene, name):
            accepted = f'base one of these variants on the scene as written, "{scene.base}"'
            yield ("variants", name, "based_on"), "goes in a circle", accepted


def _misfits_on_site(scene: SceneText) -> Iterator[_Fault]:
    """The same for people, objects and approaches."""
    for key, standing in (("people", scene.people), ("objects", scene.objects)):
        for i, one in enumerate(standing):
            if one.on is not None and one.of == "site":
                yield (key, i, "on"), "stands on a body, and is of the site", "give the body's vehicle with of"
            if one.on is not None and one.up_m is not None:
                yield (key, i, "position"), _TWO_HEIGHTS, _LEAVE_UP_OUT
    for i, item in enumerate(scene.objects):
        yield from _other_colours(("objects", i, "sheeting"), item, item.colours is None)
    for at, change, one in changed_on_site(scene):
        if one.on is not None and len(change.position_m or ()) > len(("forward", "left")):
            yield (*at, "position"), _TWO_HEIGHTS, _LEAVE_UP_OUT
        if change.sheeting is not None and isinstance(one, RoadObject):
            yield from _other_colours((*at, "sheeting"), one.model_copy(update={"sheeting": change.sheeting}), True)
    for i, approach in enumerate(scene.approaches):
        if approach.speed_m_s is None and scene.site.posted_speed_m_s is None:
            yield ("approaches", i), "has no speed", 'give speed = "55 mph", or site.posted_speed'
        lamps = approach.headlamps
        if lamps is not None and lamps.luminaire == LOW_BEAM and scene.site.traffic_side == "left":
            accepted = 'name a luminaire for left-hand traffic, or headlamps = "none"'
            at = ("headlamps",) if "headlamps" in approach.model_fields_set else ()
            yield ("approaches", i, *at), "has a low beam for right-hand traffic", accepted


_TWO_HEIGHTS = "has both a body to stand on and a height"
_LEAVE_UP_OUT = "leave up out: the top of the body is the height"


def _other_colours(path: KeyPath, item: RoadObject, looked_at: bool) -> Iterator[_Fault]:
    """Sheeting that does not come in the colours of its object, its own or those of its kind."""
    comes_in, _ = _colours_of(item)
    wanted = item.colours or default_covers()[item.kind][1]
    if looked_at and comes_in and not set(wanted) <= set(comes_in):
        accepted = f"give colours of it, such as {', '.join(list(comes_in)[:3])}"
        if path[0] == "variants":  # which changes no colours
            accepted = "name a material that comes in them"
        yield path, f"does not come in {' and '.join(wanted)}", accepted


def _a(word: str) -> str:
    return f"an {word}" if word[0] in "aeiou" else f"a {word}"


def _circle(scene: SceneText, name: str) -> bool:
    """Whether following based_on from a variant comes back to that variant."""
    seen = {name}
    at = scene.variants[name].based_on
    while at is not None and at in scene.variants and at not in seen:
        seen.add(at)
        at = scene.variants[at].based_on
    return at == name
