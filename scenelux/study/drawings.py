"""What pictures need of a placed scene, as plain values."""

from __future__ import annotations

from collections.abc import Iterator, Sequence

from scenelux.geometry import Axes, heading_tilt
from scenelux.placement import PlacedBox, PlacedScene
from scenelux.study.results import BodyDrawing, FigureDrawing, LampDrawing, LaneDrawing, LuminaireFacts, SiteDrawing

__all__ = ["lamp_drawings", "luminaire_facts", "site_drawing"]


def lamp_drawings(placed: PlacedScene) -> tuple[LampDrawing, ...]:
    """Every lamp: place, aim and kind."""
    return tuple(
        LampDrawing(
            lamp_id=lamp.id,
            luminaire=lamp.luminaire.name,
            kind=lamp.luminaire.kind,
            circuit=lamp.circuit,
            position_m=lamp.position_m,
            beam=lamp.axes[0],
            heading_deg=lamp.heading_deg,
            tilt_deg=lamp.tilt_deg,
        )
        for lamp in placed.placed_lamps
    )


def site_drawing(placed: PlacedScene) -> SiteDrawing:
    """Lanes, bodies and vehicles, objects and people."""
    return SiteDrawing(
        lanes=tuple(
            LaneDrawing(lane.id, lane.name or lane.id, lane.centre_left_m, lane.width_m, lane.direction)
            for lane in placed.scene.site.lanes
        ),
        bodies=tuple(
            BodyDrawing(body.vehicle_id, body.body_id, body.centre_m, body.half_m, body.axes)
            for vehicle in placed.vehicles.values()
            for body in vehicle.bodies
        ),
        vehicles=tuple((v.vehicle_id, v.origin_m, v.heading_deg) for v in placed.vehicles.values()),
        surface=placed.scene.site.surface,
        figures=tuple(_figures(placed)),
    )


def _figures(placed: PlacedScene) -> Iterator[FigureDrawing]:
    for thing in placed.objects:
        item = thing.item
        boxes = _boxes(thing.boxes)
        yield FigureDrawing(item.id, item.name or item.id, item.kind, thing.foot_m, _facing_deg(thing.axes), boxes)
    for one in placed.people:
        person, boxes = one.person, _boxes(one.boxes)
        yield FigureDrawing(person.id, person.name or person.id, "person", one.foot_m, _facing_deg(one.axes), boxes)


def _facing_deg(axes: Axes) -> float:
    return heading_tilt(axes[0])[0]


def _boxes(boxes: Sequence[PlacedBox]) -> tuple[BodyDrawing, ...]:
    return tuple(BodyDrawing(box.owner_id, box.part, box.centre_m, box.half_m, box.axes) for box in boxes)


def luminaire_facts(placed: Sequence[PlacedScene]) -> tuple[LuminaireFacts, ...]:
    """Every luminaire that a variant uses, with the lamps that carry it in any variant."""
    lamps = [lamp for one in placed for lamp in one.placed_lamps]
    luminaires = {lamp.luminaire.name: lamp.luminaire for lamp in lamps}
    return tuple(
        LuminaireFacts(
            name=name,
            title=luminaire.title,
            data_class=luminaire.data_words,
            source_status=luminaire.status,
            flux_lm=luminaire.flux_lm,
            peak_cd=luminaire.peak_cd,
            power_w=luminaire.power_w,
            lamps=tuple(dict.fromkeys(lamp.id for lamp in lamps if lamp.luminaire.name == name)),
            warnings=luminaire.warnings,
        )
        for name, luminaire in sorted(luminaires.items())
    )
