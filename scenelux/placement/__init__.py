"""The one bridge from the scene document to the engine's arrays: all that stands, shines and looks, on the site."""

from scenelux.placement.approaches import ApproachPath, PlacedHeadlamps, approach_path, approach_start_m
from scenelux.placement.areas import DIRECTIONS, UP, AreaPoints, area_outline, area_points, area_shape, facing_words
from scenelux.placement.bodies import PlacedBody, PlacedVehicle
from scenelux.placement.boxes import Patch, PlacedBox
from scenelux.placement.eyes import EyePath, eye_path, station_count
from scenelux.placement.ground import Ground
from scenelux.placement.lamps import PlacedLamp
from scenelux.placement.luminaires import LuminaireData, bare_luminaire, load_luminaire
from scenelux.placement.materials import Cover, GroundSurface, Share
from scenelux.placement.objects import PlacedObject, place_object
from scenelux.placement.people import PlacedPerson, place_person
from scenelux.placement.placed import PlacedScene, place
from scenelux.placement.road import Road

__all__ = [
    "DIRECTIONS",
    "UP",
    "ApproachPath",
    "AreaPoints",
    "Cover",
    "EyePath",
    "Ground",
    "GroundSurface",
    "LuminaireData",
    "Patch",
    "PlacedBody",
    "PlacedBox",
    "PlacedHeadlamps",
    "PlacedLamp",
    "PlacedObject",
    "PlacedPerson",
    "PlacedScene",
    "PlacedVehicle",
    "Road",
    "Share",
    "approach_path",
    "approach_start_m",
    "area_outline",
    "area_points",
    "area_shape",
    "bare_luminaire",
    "eye_path",
    "facing_words",
    "load_luminaire",
    "place",
    "place_object",
    "place_person",
    "station_count",
]
