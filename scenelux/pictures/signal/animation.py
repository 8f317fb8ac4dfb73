"""The animation of a flash cycle: a warning, then the vehicle from three sides over a strip chart that stands still.

It plays once, when somebody opens it, and so slowly that lamps light up at most three times a second.
"""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray
from PIL import Image, ImageDraw

from scenelux.pictures.drive.animation import Shown
from scenelux.pictures.drive.lettering import lettered, width_of
from scenelux.pictures.drive.warning import WARNING_S, warning_picture
from scenelux.pictures.signal.courses import Course, Looks, candela_words, courses, darkest, light_words, share_words
from scenelux.pictures.signal.flash_time import FlashRun, flash_run
from scenelux.pictures.signal.flash_views import View, draw_spots, still_views, views_of
from scenelux.pictures.signal.strip import DIRECTIONS, direction_at, level_ring
from scenelux.pictures.words import data_classes
from scenelux.study.results.signal import SignalStudy, SignalVariant
from scenelux.units import figure

__all__ = ["flash_pictures", "flash_still", "flash_words"]

Array = NDArray[np.float64]
Pixels = NDArray[np.uint8]

WIDTH_PX, HEAD_PX, VIEW_PX, PLAN_PX, GAP_PX = 960, 46, 276, 552, 4
NAMES_PX, NOW_PX, ROW_PX, WAVE_PX, AXIS_PX, FOOT_PX = 236, 62, 19, 46, 42, 40
MOST_ROWS = 9
LIT, STEADY, DARK = (45, 45, 45), (165, 165, 165), (0, 0, 0)
LAST_S = 3.0
NOT_EVIDENCE = (
    "Drawn to scale, not computed luminance; lamps white whatever their colour. A visualisation, not evidence."
)


@dataclass(frozen=True, eq=False)
class _Scene:
    """Everything that the pictures of one animation share."""

    study: SignalStudy
    variant: SignalVariant
    looks: Looks
    run: FlashRun
    views: tuple[View, ...]
    rows: tuple[Course, ...]
    still: Image.Image

    @property
    def chart(self) -> tuple[int, int, int, int]:
        """Left, top, right and bottom of the strips [px]."""
        top = HEAD_PX + VIEW_PX + 2 * GAP_PX
        return NAMES_PX, top, WIDTH_PX - NOW_PX, top + ROW_PX * len(self.rows) + 2 * WAVE_PX

    def x(self, time_s: float) -> float:
        """Across the chart."""
        left, _, right, _ = self.chart
        start, end = float(self.run.first[0]), float(self.run.last[-1])
        return left + (right - left) * (time_s - start) / (end - start)


def flash_pictures(study: SignalStudy, variant: SignalVariant, looks: Looks) -> Iterator[Shown]:
    """The pictures of an animation, the warning first; each is made when it is asked for.

    Parameters
    ----------
    study : for the words around them.
    variant, looks : what is shown.
    """
    scene = _scene(study, variant, looks)
    yield Shown(warning_picture(scene.still.size, flash_words(study, variant, looks)), WARNING_S)
    pictures = [_picture(scene, number) for number in range(len(scene.run.first))]
    for turn in range(scene.run.rounds):
        for number, (picture, seconds) in enumerate(zip(pictures, scene.run.seconds, strict=True)):
            last = turn == scene.run.rounds - 1 and number == len(pictures) - 1
            yield Shown(picture, max(seconds, LAST_S) if last else seconds)


def flash_still(study: SignalStudy, variant: SignalVariant, looks: Looks) -> Pixels:
    """The picture with most light, for a page that links to the animation.

    Parameters
    ----------
    study, variant, looks : as in `flash_pictures`.
    """
    scene = _scene(study, variant, looks)
    light = looks.case.levels[:, scene.run.segments].sum(axis=0)
    return _picture(scene, int(np.argmax(light)))


def flash_words(study: SignalStudy, variant: SignalVariant, looks: Looks) -> list[tuple[str, int, bool]]:
    """What the warning says: what moves, who should not look, what it is worth, and every caution.

    Parameters
    ----------
    study, variant, looks : as in `flash_pictures`.
    """
    about, run = study.about, flash_run(looks.case, _instant(variant, looks))
    data = "invented demonstration data" if about.demonstration else "project data"
    state = about.states.get(looks.case.state) or looks.case.state
    return [
        ("Warning: flashing lights", 30, True),
        (f"An animation of flashing lamps follows in {WARNING_S:g} seconds. {_speed(run)}, so that lamps light up at "
         "most 3 times a second. People who are sensitive to flashing light should not watch it.", 17, False),
        (about.title, 19, True),
        (f"{variant.name}. {state}; {light_words(study, looks)}.", 16, False),
        (f"{_part(looks, run)} {' '.join(looks.case.notes)}".strip(), 14, False),
        (f"Lamp data: {data_classes(about).removesuffix(' (invented demonstration data)')}; {data}. {NOT_EVIDENCE}",
         14, False),
        (" ".join(about.cautions), 13, False),
    ]  # fmt: skip


def _speed(run: FlashRun) -> str:
    return "Shown in real time" if run.factor == 1.0 else f"Shown {figure(run.factor)} times slower than life"


def _part(looks: Looks, run: FlashRun) -> str:
    cycle = float(looks.case.times_s[-1])
    length = float(run.last[-1] - run.first[0])
    if run.excerpt.whole and abs(length - cycle) < 1e-9:
        return (
            f"One common cycle of {cycle:.4g} s, {run.rounds} times."
            if run.rounds > 1
            else f"One cycle, {cycle:.4g} s."
        )
    return f"{length:.3g} s of a common cycle of {cycle:.4g} s."


def _instant(variant: SignalVariant, looks: Looks) -> float:
    """The middle of the darkest stretch towards the rear."""
    ring = level_ring(variant)
    wave = looks.case.waveform_cd(ring, direction_at(ring, DIRECTIONS[0][0]), "flashing")
    _, dark = darkest(looks.case.times_s, wave)
    return dark.start_s + dark.length_s / 2.0


def _scene(study: SignalStudy, variant: SignalVariant, looks: Looks) -> _Scene:
    run = flash_run(looks.case, _instant(variant, looks))
    rows = tuple(courses(looks.case)[:MOST_ROWS])
    top, bottom = HEAD_PX, HEAD_PX + VIEW_PX
    beside = (WIDTH_PX - PLAN_PX - 2 * GAP_PX) // 2
    second = PLAN_PX + GAP_PX
    boxes = [
        (0, top, PLAN_PX, bottom),
        (second, top, second + beside, bottom),
        (second + beside + GAP_PX, top, WIDTH_PX - 1, bottom),
    ]
    height = HEAD_PX + VIEW_PX + 2 * GAP_PX + ROW_PX * len(rows) + 2 * WAVE_PX + AXIS_PX + FOOT_PX
    still = Image.new("RGB", (WIDTH_PX, height + height % 2), (255, 255, 255))
    scene = _Scene(study, variant, looks, run, tuple(views_of(variant, boxes)), rows, still)
    still_views(still, scene.views)
    draw = ImageDraw.Draw(still)
    _write(draw, scene)
    _draw_chart(draw, scene)
    return scene


def _write(draw: ImageDraw.ImageDraw, scene: _Scene) -> None:
    """Words above and below that do not change."""
    about, case = scene.study.about, scene.looks.case
    badge = "INVENTED DEMONSTRATION DATA" if about.demonstration else "PROJECT DATA"
    wide = width_of(badge, 12, bold=True)
    lettered(draw, (WIDTH_PX - wide - 8, 6), badge, 12, bold=True)
    lettered(draw, (6, 4), f"{about.title} · {scene.variant.name}", 16, bold=True, width_px=int(WIDTH_PX - wide - 30))
    state = about.states.get(case.state) or case.state
    lettered(draw, (6, 25), f"{state} · {light_words(scene.study, scene.looks)}", 13, width_px=WIDTH_PX - 12)
    foot = scene.still.height - FOOT_PX + 2
    words = f"{_speed(scene.run)}; lamps light up at most 3 times a second. {_part(scene.looks, scene.run)}"
    lettered(draw, (6, foot), words, 13, width_px=WIDTH_PX - 12)
    lettered(draw, (6, foot + 18), NOT_EVIDENCE + _elsewhere(scene), 11, light=70, width_px=WIDTH_PX - 12)


def _elsewhere(scene: _Scene) -> str:
    others = scene.looks.case.flashing & ~scene.views[0].drawing.mine
    return " Lamps of other vehicles: in the chart alone." if others.any() else ""


def _draw_chart(draw: ImageDraw.ImageDraw, scene: _Scene) -> None:
    """Strips of levels, and below them what goes to the rear and to the front."""
    left, top, right, bottom = scene.chart
    for number, row in enumerate(scene.rows):
        foot = top + (number + 1) * ROW_PX
        lettered(draw, (6, foot - ROW_PX + 2), row.words, 12, width_px=NAMES_PX - 14)
        _blocks(draw, scene, row.levels, foot, ROW_PX - 5, LIT if row.flashing else STEADY)
        draw.line([(left, foot), (right, foot)], fill=(0, 0, 0))
    ring = level_ring(scene.variant)
    for number, (heading, name) in enumerate(DIRECTIONS[:2]):
        foot = bottom - (1 - number) * WAVE_PX
        at = direction_at(ring, heading)
        wave = scene.looks.case.waveform_cd(ring, at, "flashing")
        most = float(max(one.waveform_cd(ring, at, "flashing").max() for one in scene.variant.cases))
        _blocks(draw, scene, wave / max(most, 1e-9), foot, WAVE_PX - 12, LIT)
        draw.line([(left, foot), (right, foot)], fill=(0, 0, 0))
        lettered(draw, (6, foot - 32), f"Towards the {name}", 12, bold=True)
        lettered(draw, (6, foot - 17), f"up to {candela_words(float(wave.max()))}", 12, light=70)
    _draw_axis(draw, scene)


def _blocks(
    draw: ImageDraw.ImageDraw, scene: _Scene, shares: Array, foot: int, tall: int, colour: tuple[int, int, int]
) -> None:
    run = scene.run
    for first, last, segment in zip(run.first.tolist(), run.last.tolist(), run.segments.tolist(), strict=True):
        height = tall * float(shares[segment])
        if height > 0.0:
            draw.rectangle([(scene.x(first), foot - height), (scene.x(last), foot)], fill=colour)


def _draw_axis(draw: ImageDraw.ImageDraw, scene: _Scene) -> None:
    left, _, right, bottom = scene.chart
    start, end = float(scene.run.first[0]), float(scene.run.last[-1])
    steps = [base * 10.0**power for power in range(-4, 3) for base in (1.0, 2.0, 5.0)]
    step = next(one for one in steps if (end - start) / one <= 8.0)
    for number in range(int(np.ceil(start / step - 1e-9)), int(np.floor(end / step + 1e-9)) + 1):
        x, words = scene.x(number * step), f"{number * step:.9g}"
        draw.line([(x, bottom), (x, bottom + 4)], fill=(0, 0, 0))
        half = width_of(words, 12) / 2
        lettered(draw, (min(max(x - half, left), right - 2 * half), bottom + 20), words, 12)
    lettered(draw, (right + 6, bottom + 20), "s", 12)
    lettered(draw, (6, bottom + 8), "Now (dark bar), time of the lamps", 12, light=70)


def _picture(scene: _Scene, number: int) -> Pixels:
    """The vehicle at one instant, the bar under the chart, and every level in words."""
    canvas, segment = scene.still.copy(), int(scene.run.segments[number])
    draw = ImageDraw.Draw(canvas)
    levels = scene.looks.case.levels[:, segment]
    for view in scene.views:
        draw_spots(draw, view, levels)
    _, top, right, bottom = scene.chart
    for row, course in enumerate(scene.rows):
        lettered(draw, (right + 6, top + row * ROW_PX + 2), share_words(float(course.levels[segment])), 12, bold=True)
    first, last = scene.x(float(scene.run.first[number])), scene.x(float(scene.run.last[number]))
    draw.rectangle([(first, bottom + 7), (max(last, first + 2), bottom + 15)], fill=DARK)
    return np.asarray(canvas)
