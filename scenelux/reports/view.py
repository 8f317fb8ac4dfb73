"""A driver's view: its JSON document, its files, and what it says at a terminal."""

from __future__ import annotations

from collections.abc import Callable, Iterator
from pathlib import Path
from typing import TYPE_CHECKING, Any

from scenelux.pictures.view.facts import case_title, crew_line, difference_lines, eye_words, glare_line, person_line
from scenelux.pictures.view.headline import headlines
from scenelux.reports.documents import explained, number
from scenelux.study.results import ViewArea, ViewCase, ViewPart, ViewResult, ViewTarget

if TYPE_CHECKING:
    from rich.console import Console

__all__ = ["document", "show", "write"]

FORMAT = "scenelux view 1"
INDEX = "view.json"


def document(result: ViewResult) -> dict[str, Any]:
    """Who looks, what each case gives the eye and the crew, and how the pictures were exposed."""
    from scenelux.pictures.view.exposure import exposure_of

    about, exposure = result.about, exposure_of(result)
    return {
        "format": FORMAT,
        "title": about.title,
        "scene": about.scene_name,
        "units_of_output": about.units,
        "demonstration_data": about.demonstration,
        "state": result.state,
        "eye": {
            "eye": result.eye_id,
            "name": result.eye,
            "distance_m": number(result.distance_m),
            "height_m": number(result.height_m),
            "age_years": number(result.age_years),
            "pigmentation": number(result.pigmentation),
            "gaze": result.gaze,
            "headlamps": result.headlamps,
        },
        "weather": result.weather,
        "ground": result.ground,
        "exposure": {
            "black_cd_m2": exposure.black_cd_m2,
            "white_cd_m2": exposure.white_cd_m2,
            "power": exposure.power,
        },
        "veil_form": result.veil_form,
        "visibility": {
            "model": result.target_form,
            "visible_level": result.visible_level,
            "visible_level_from": result.visible_from,
            "unconfirmed": result.unconfirmed,
            "enters_verdicts": False,
        },
        "headlines": headlines(result),
        "cases": [_case(case) for case in result.cases],
        "differences": _differences(result),
        "luminaires": [{"name": one.name, "data_class": one.data_class} for one in about.luminaires],
        "inputs": [{"file": one.file, "sha256": one.sha256} for one in about.inputs],
        "notes": ["A visualisation, not evidence.", *result.notes],
        "cautions": list(about.cautions),
    }


def write(
    result: ViewResult, out: Path, *, colours: str = "inferno", progress: Callable[[str], None] = lambda step: None
) -> list[Path]:
    """Writes sheets, luminance files and view.json into a folder, all or none.

    Parameters
    ----------
    result : the pictures.
    out : the folder.
    colours : "inferno" or "cividis".
    progress : told in words what is being made.
    """
    from scenelux.reports.write import place_files

    return place_files(_files(result, colours, progress), out, INDEX, document(result))


def show(result: ViewResult, console: Console) -> None:
    """Prints each case: glare, people, the crew's light; then what differs."""

    def line(text: str) -> None:
        console.print(text, highlight=False, markup=False)

    line(f"{result.about.title}: {eye_words(result)}")
    for text in headlines(result):
        line(text)
    for case in result.cases:
        line(f"{case_title(result, case)}")
        line(f"  {glare_line(case, result.gaze)}")
        for target in case.targets:
            line(f"  {person_line(target)}")
        for area in case.areas:
            line(f"  {crew_line(area, result.about.units)}")
    for difference in _differences(result):
        line(f"{difference['second']} against {difference['first']}, {difference['light']}")
        for text in difference["sentences"]:
            line(f"  {text}")
    line(
        f"Visibility by {result.target_form}: constants from memory, enters no verdict. A visualisation, not evidence."
    )


def _files(result: ViewResult, colours: str, progress: Callable[[str], None]) -> Iterator[tuple[str, bytes]]:
    from scenelux.pictures.sheet import png_bytes
    from scenelux.pictures.view import luminance_files, view_sheets

    for name, sheet in view_sheets(result, colours=colours):
        progress(name)
        yield name, png_bytes(sheet)
    progress("luminance files")
    yield from luminance_files(result)


def _case(case: ViewCase) -> dict[str, Any]:
    return {
        "variant": case.variant,
        "light": case.light,
        "ambient_lx": number(case.ambient_lx),
        "eye_illuminance_lx": number(case.eye_illuminance_lx),
        "veiling_luminance_cd_m2": number(case.veil_cd_m2),
        "lamps_on": list(case.lamps_on),
        "targets": [_target(one) for one in case.targets],
        "areas": [_area(one) for one in case.areas],
        "pictures": [
            {
                "picture": frame.name,
                "field_deg": number(frame.field_deg),
                "pixels": list(frame.luminance_cd_m2.shape[::-1]),
            }
            for frame in case.frames
        ],
    }


def _target(target: ViewTarget) -> dict[str, Any]:
    document = {
        "target": target.target_id,
        "name": target.name,
        "kind": target.kind,
        "sighting": target.sighting,
        "visibility_level": number(target.level),
        "seen_by": target.seen_by or None,
        "veiling_luminance_cd_m2": number(target.veil_cd_m2),
        **({"caution": target.caution} if target.caution else {}),
    }
    why = target.caution if target.sighting == "not valid" else "the eye does not see it"
    return {**explained(document, why), "parts": [_part(one) for one in target.parts]}


def _part(part: ViewPart) -> dict[str, Any]:
    document = {
        "part": part.name,
        "visibility_level": number(part.level),
        "target_cd_m2": number(part.target_cd_m2),
        "background_cd_m2": number(part.background_cd_m2),
        "difference_cd_m2": number(part.difference_cd_m2),
        "threshold_cd_m2": number(part.threshold_cd_m2),
        "size_arcmin": number(part.size_arcmin),
    }
    return explained(document, "the eye does not see it, or it is too small to count")


def _area(area: ViewArea) -> dict[str, Any]:
    found = area.maintained
    return explained(
        {
            "area": area.area_id,
            "name": area.name,
            "min_lx": number(found.minimum),
            "average_lx": number(found.average),
            "max_lx": number(found.maximum),
        },
        "no point of the area is valid",
    )


def _differences(result: ViewResult) -> list[dict[str, Any]]:
    """Every later variant against the first, light level by light level."""
    found = []
    for light in dict.fromkeys(case.light for case in result.cases):
        first, *others = [case for case in result.cases if case.light == light]
        found += [
            {
                "light": light,
                "first": first.variant,
                "second": other.variant,
                "sentences": difference_lines(result, first, other),
            }
            for other in others
        ]
    return found
