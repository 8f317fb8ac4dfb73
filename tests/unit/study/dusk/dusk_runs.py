"""The shipped switching documents of the causeway truck, run once for all tests."""

from __future__ import annotations

from functools import cache

from scenelux.scene.model import SceneDocument
from scenelux.scene.read import read_scene
from scenelux.scene.switching_read import SwitchingDocument, switching_of
from scenelux.study.dusk.run import dusk
from scenelux.study.results.dusk import DuskResult

__all__ = ["FLUTTERING", "document", "scene", "shipped_run"]

FLUTTERING = "causeway-truck-fluttering"


@cache
def scene() -> SceneDocument:
    return read_scene("causeway-truck")


@cache
def document(name: str = "") -> SwitchingDocument:
    return switching_of(scene(), name or None)


@cache
def shipped_run(name: str = "") -> DuskResult:
    return dusk(scene(), document(name))
