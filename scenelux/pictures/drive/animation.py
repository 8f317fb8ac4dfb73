"""The animation of an approach: a warning first, then what the driver sees, the vehicle drawn near, and the plan.

It plays once, when somebody opens it. Lamps are shown steady; what flashes is shown slower than life.
"""

from __future__ import annotations

import io
from collections.abc import Iterator, Sequence
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray
from PIL import Image, ImageDraw

from scenelux.errors import LimitError
from scenelux.pictures.drive.flashes import slowed
from scenelux.pictures.drive.lettering import lettered, width_of
from scenelux.pictures.drive.plan import Plan, plan_of
from scenelux.pictures.drive.warning import WARNING_S, warning_picture
from scenelux.pictures.view.exposure import DAYLIGHT_LX, NIGHT, NIGHT_AND_DAY, Exposure
from scenelux.pictures.words import data_classes
from scenelux.study.results.approach import ApproachResult, ApproachStudy, ApproachVariant, TargetPath
from scenelux.study.results.drive import DriveFrames
from scenelux.units import figure, format_distance, format_speed

__all__ = ["Shown", "animation_file", "drive_pictures", "still_picture"]

Pixels = NDArray[np.uint8]

LAST_S = 3.0
PLAN_PX, WORDS_PX, GAP_PX = 104, 120, 4
MOST_PICTURES, MOST_PIXELS = 80, 1_000_000
MOST_PEOPLE = 3
QUALITY, EFFORT = 82, 4


@dataclass(frozen=True, eq=False)
class Shown:
    """One picture of an animation and how long it is shown."""

    pixels: Pixels
    seconds: float


@dataclass(frozen=True, eq=False)
class _Drive:
    """Everything that the pictures of one animation share."""

    study: ApproachStudy
    variant: ApproachVariant
    approach: ApproachResult
    frames: DriveFrames
    exposure: Exposure
    plan: Plan
    factor: float

    @property
    def size(self) -> tuple[int, int]:
        height, wide = self.frames.wide_cd_m2.shape[1:]
        return wide + GAP_PX + self.frames.zoom_cd_m2.shape[2], height + PLAN_PX + WORDS_PX + 2 * GAP_PX


def drive_pictures(study: ApproachStudy, frames: DriveFrames, exposure: Exposure | None = None) -> Iterator[Shown]:
    """The pictures of an animation, the warning first; each is made when it is asked for.

    Parameters
    ----------
    study : with the variant and the approach of the frames.
    frames : what the driver sees.
    exposure : one for all animations of a comparison; by the natural light when not given.
    """
    drive = _drive(study, frames, exposure)
    yield Shown(_warning(drive), WARNING_S)
    times = drive.approach.times_s[frames.stations]
    steps = np.append(np.diff(times) * drive.factor, LAST_S)
    for number, seconds in enumerate(steps.tolist()):
        yield Shown(_picture(drive, number), seconds)


def still_picture(study: ApproachStudy, frames: DriveFrames, exposure: Exposure | None = None) -> Pixels:
    """The picture at the stopping sight distance, for a page that links to the animation.

    Parameters
    ----------
    study, frames, exposure : as in `drive_pictures`.
    """
    drive = _drive(study, frames, exposure)
    distances = drive.approach.distances_m[frames.stations]
    stopping = drive.approach.stopping_distance_m
    wanted = stopping if np.isfinite(stopping) else distances.min()
    return _picture(drive, int(np.argmin(np.abs(distances - wanted))))


def animation_file(pictures: Sequence[Shown]) -> bytes:
    """The pictures as an animated WebP that plays once; the same pictures give the same bytes.

    Parameters
    ----------
    pictures : of one size, the warning first.
    """
    first, *rest = (Image.fromarray(shown.pixels) for shown in pictures)
    buffer = io.BytesIO()
    first.save(
        buffer,
        format="WEBP",
        save_all=True,
        append_images=rest,
        duration=[round(1000.0 * shown.seconds) for shown in pictures],
        loop=1,
        quality=QUALITY,
        method=EFFORT,
    )
    return buffer.getvalue()


def _drive(study: ApproachStudy, frames: DriveFrames, exposure: Exposure | None) -> _Drive:
    variant = next(one for one in study.variants if one.name == frames.variant)
    approach = next(one for one in variant.approaches if one.approach_id == frames.approach_id)
    curve = exposure or (NIGHT_AND_DAY if frames.ambient_lx >= DAYLIGHT_LX else NIGHT)
    width = frames.wide_cd_m2.shape[2] + GAP_PX + frames.zoom_cd_m2.shape[2]
    plan = plan_of(variant, approach, width, PLAN_PX, study.about.units)
    drive = _Drive(study, variant, approach, frames, curve, plan, slowed(frames.rates_per_s))
    if len(frames.stations) > MOST_PICTURES or drive.size[0] * drive.size[1] > MOST_PIXELS:
        size = f"{len(frames.stations)} pictures of {drive.size[0]} x {drive.size[1]} pixels"
        raise LimitError(
            f"is too large: {size}", key="animation", accepted=f"give at most {MOST_PICTURES} of a million pixels"
        )
    return drive


def _canvas(drive: _Drive) -> Image.Image:
    return Image.new("RGB", drive.size, (255, 255, 255))


def _picture(drive: _Drive, number: int) -> Pixels:
    frames, canvas = drive.frames, _canvas(drive)
    station = int(frames.stations[number])
    wide, zoom = (Image.fromarray(drive.exposure.grey(part[number])) for part in (frames.wide_cd_m2, frames.zoom_cd_m2))
    canvas.paste(wide.convert("RGB"), (0, 0))
    canvas.paste(zoom.convert("RGB"), (wide.width + GAP_PX, 0))
    draw = ImageDraw.Draw(canvas)
    _label(draw, (6, 5), f"What the driver sees, {frames.wide_deg:g} deg across")
    _label(draw, (wide.width + GAP_PX + 6, 5), f"The vehicle, {frames.zoom_deg:g} deg across")
    points, ahead = drive.approach.points_m, _travel(drive.approach, station)
    canvas.paste(drive.plan.at(points[station], ahead), (0, wide.height + GAP_PX))
    _write(drive, draw, station, wide.height + PLAN_PX + 2 * GAP_PX)
    return np.asarray(canvas)


def _label(draw: ImageDraw.ImageDraw, place: tuple[int, int], text: str) -> None:
    """Light words on a dark ground, over a picture."""
    draw.rectangle([place[0] - 3, place[1] - 2, place[0] + width_of(text, 12) + 4, place[1] + 16], fill=(0, 0, 0))
    lettered(draw, place, text, 12, light=235)


def _travel(approach: ApproachResult, station: int) -> NDArray[np.float64]:
    """Where the driver drives, from the way itself."""
    points = approach.points_m
    near, far = min(station + 1, len(points) - 1), max(min(station, len(points) - 2), 0)
    way = np.where([1, 1, 0], points[near] - points[far], 0.0)
    length = float(np.linalg.norm(way))
    return way / length if length > 0.0 else np.array([1.0, 0.0, 0.0])


def _write(drive: _Drive, draw: ImageDraw.ImageDraw, station: int, top: int) -> None:
    """Distance, glare, and everybody's visibility at a station, in lines."""
    approach, frames, units = drive.approach, drive.frames, drive.study.about.units
    distance = format_distance(float(approach.distances_m[station]), units)
    age = approach.ages_years.index(frames.age_years)
    entry = next(one for one in approach.eyes[age].entries if (one.state, one.light) == (frames.state, frames.light))
    veil, lux = entry.veil_cd_m2[approach.eyes[age].headline_form][station], entry.eye_illuminance_lx[station]
    head = f"{distance} to the vehicle, {approach.times_s[station]:.1f} s, {format_speed(approach.speed_m_s, units)}"
    lettered(draw, (6, top), head, 16, bold=True)
    glare = f"veil {figure(float(veil))} cd/m², {figure(float(lux))} lx at the eye (gaze {entry.gaze})"
    lettered(draw, (6, top + 22), glare, 13)
    people = [target for target in approach.targets if target.kind == "person"]
    for row, target in enumerate(people[:MOST_PEOPLE]):
        lettered(draw, (6, top + 39 + 16 * row), _sighting(drive, target, age, station), 13)
    foot = f"A visualisation, not evidence. {_speed_words(drive)}, eye of {frames.age_years:g} years, exposure locked."
    lettered(draw, (6, top + WORDS_PX - 16), foot, 11, light=70, width_px=drive.size[0] - 12)


def _sighting(drive: _Drive, target: TargetPath, age: int, station: int) -> str:
    entry = next(one for one in target.entries if (one.state, one.light) == (drive.frames.state, drive.frames.light))
    level, chosen = float(entry.level[age, station]), drive.approach.visibility_level
    if np.isnan(level):
        return f"{target.name}: {'passed' if not target.ahead[station] else 'hidden'}"
    words = "visible" if abs(level) >= chosen else "marginal" if abs(level) >= 1.0 else "not visible"
    side = "darker" if level < 0.0 else "brighter"
    return f"{target.name}: {words}: visibility level {figure(abs(level))}, {side} than what is behind"


def _runs_s(drive: _Drive) -> float:
    """How long the pictures after the warning take."""
    times = drive.approach.times_s[drive.frames.stations]
    return float(times[-1] - times[0]) * drive.factor + LAST_S


def _speed_words(drive: _Drive) -> str:
    return "Shown in real time" if drive.factor == 1.0 else f"Shown {figure(drive.factor)} times slower than life"


def _shown_as(drive: _Drive) -> str:
    return f"{_speed_words(drive)}, eye of {drive.frames.age_years:g} years; {drive.exposure.words}."


def _warning(drive: _Drive) -> Pixels:
    """A still: what moves in it, who should not look, and what it is worth."""
    about = drive.study.about
    flashing = (
        "No lamp flashes in it: lamps that flash are shown steady."
        if not drive.frames.rates_per_s
        else f"Flashing is slowed to at most 3 a second: shown {figure(drive.factor)} times slower than life."
    )
    state, light = (
        about.states.get(drive.frames.state) or drive.frames.state,
        about.lights.get(drive.frames.light) or drive.frames.light,
    )
    data = "invented demonstration data" if about.demonstration else "project data"
    said = (
        ("Warning: moving lights", 30, True),
        (f"An animation of bright lamps that come nearer begins after {WARNING_S:g} s and runs "
         f"{_runs_s(drive):.0f} s. {flashing} People who are sensitive to light should not watch it.", 17, False),
        (about.title, 19, True),
        (f"{drive.variant.name}: {drive.approach.name}. {state}; {light}; {drive.approach.weather}.", 16, False),
        (f"{_shown_as(drive)} Visibility: constants of the model unconfirmed, it enters no verdict.", 14, False),
        (f"Lamp data: {data_classes(about).removesuffix(' (invented demonstration data)')}; {data}. "
         "A visualisation, not evidence.", 14, False),
        (" ".join(about.cautions), 13, False),
    )  # fmt: skip
    return warning_picture(drive.size, said)
