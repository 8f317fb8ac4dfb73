"""Every public name is exported on purpose and documented in one form."""

from __future__ import annotations

import importlib
import inspect
import re

import pytest

STAGES = [
    "geometry",
    "grids",
    "units",
    "photometry",
    "engine",
    "vision",
    "colour",
    "timing",
    "signals",
    "checks",
    "placement",
    "pictures.drive.animation",
    "pictures.drive.flashes",
    "pictures.drive.lettering",
    "pictures.drive.plan",
    "pictures.drive.sheets",
    "pictures.drive.video",
    "pictures.drive.warning",
    "pictures.signal",
    "pictures.signal.animation",
    "pictures.signal.courses",
    "pictures.signal.dial",
    "pictures.signal.dial_marks",
    "pictures.signal.files",
    "pictures.signal.flash_time",
    "pictures.signal.flash_views",
    "pictures.signal.polar",
    "pictures.signal.strip",
    "pictures.signal.vehicle",
    "reports.approach.document",
    "reports.approach.page",
    "reports.approach.rows",
    "reports.approach.tables",
    "reports.approach.write",
    "study.approach.eye",
    "study.approach.frames",
    "study.approach.looked_for",
    "study.approach.run",
    "study.approach.seen",
    "study.approach.surround",
    "study.approach.targets",
    "placement.signals",
    "reports.signal.cases",
    "reports.signal.document",
    "reports.signal.page",
    "reports.signal.rows",
    "reports.signal.tables",
    "reports.signal.write",
    "study.signal.asked",
    "study.signal.case",
    "study.signal.directions",
    "study.signal.facts",
    "study.signal.judge",
    "study.signal.measures",
    "study.signal.notes",
    "study.signal.rings",
    "study.signal.run",
    "study.signal.safety",
    "study.signal.sync",
    "study.simulate",
    "study.probe",
    "study.areas",
    "study.crew.glare",
    "study.crew.notes",
    "study.crew.people",
    "study.crew.standing",
    "study.crew.surroundings",
    "study.crew.watchers",
    "study.openings",
    "study.eyes",
    "study.levels",
    "study.site_map",
    "study.windows",
    "study.verdicts",
    "switching.ambient",
    "switching.averaged",
    "switching.check",
    "switching.combinations",
    "switching.compared",
    "switching.conditions",
    "switching.curves",
    "switching.document",
    "switching.feedback",
    "switching.findings",
    "switching.harness",
    "switching.inputs",
    "switching.load",
    "switching.machine",
    "switching.measured",
    "switching.outcomes",
    "switching.policy",
    "switching.properties",
    "switching.rules",
    "switching.sensor",
    "switching.story",
    "switching.tables",
    "reports",
    "pictures",
]


def public_functions() -> list[tuple[str, object]]:
    found = []
    for stage in STAGES:
        module = importlib.import_module(f"scenelux.{stage}")
        found += [(f"{stage}.{name}", getattr(module, name)) for name in module.__all__]
    return [(name, item) for name, item in found if inspect.isfunction(item)]


@pytest.mark.parametrize("stage", STAGES)
def test_exported_names_exist(stage: str) -> None:
    module = importlib.import_module(f"scenelux.{stage}")
    assert len(set(module.__all__)) == len(module.__all__)
    for name in module.__all__:
        assert hasattr(module, name), f"scenelux.{stage}.{name}"


@pytest.mark.parametrize(("name", "function"), public_functions())
def test_docstring_form(name: str, function: object) -> None:
    text = inspect.getdoc(function) or ""
    first = text.split("\n\n")[0].replace("\n", " ")
    assert re.match(r"^[A-Z0-9`].*[.:]$", first), f"{name}: one sentence first, ending in a full stop"
    parameters = [p for p in inspect.signature(function).parameters if p not in ("self", "cls")]  # type: ignore[arg-type]
    if len(parameters) > 2:
        missing = [p for p in parameters if not re.search(rf"\b{re.escape(p)}\b", text)]
        assert not missing, f"{name}: {missing} not described"
