"""The files of all pictures of a signal study: which there are, what they are called, and what they say."""

from __future__ import annotations

from collections.abc import Callable, Iterator

from scenelux.names import slug
from scenelux.pictures.drive.animation import animation_file
from scenelux.pictures.png import png_file
from scenelux.pictures.sheet import DPI, png_bytes
from scenelux.pictures.signal import SignalPicture
from scenelux.pictures.signal.animation import flash_pictures, flash_still
from scenelux.pictures.signal.courses import Looks, light_words, looks_of
from scenelux.pictures.signal.polar import polar_sheets
from scenelux.pictures.signal.strip import strip_sheet
from scenelux.study.results.signal import SignalStudy, SignalVariant

__all__ = ["files_of"]

Progress = Callable[[str], None]


def files_of(study: SignalStudy, animation: bool, video: bool, progress: Progress) -> Iterator[SignalPicture]:
    """Every picture, one at a time.

    Parameters
    ----------
    study, animation, video, progress : as in `signal_pictures`.
    """
    for variant in study.variants:
        for name, sheet in polar_sheets(study, variant):
            progress(name)
            yield SignalPicture(name, png_bytes(sheet), str(sheet.get_label()))
        for looks in looks_of(variant):
            name = f"{_name('strip', study, variant, looks)}.png"
            progress(name)
            sheet = strip_sheet(study, variant, looks)
            yield SignalPicture(name, png_bytes(sheet), str(sheet.get_label()))
        for looks in _dimmest(variant) if animation else ():
            yield from _animated(study, variant, looks, video, progress)


def _name(what: str, study: SignalStudy, variant: SignalVariant, looks: Looks) -> str:
    several = [variant.name] if len(study.variants) > 1 else []
    return slug(what, *several, looks.case.state, looks.case.light)


def _dimmest(variant: SignalVariant) -> list[Looks]:
    """Of each duty state the case in which lamps that flash have least light."""
    found: dict[str, Looks] = {}
    for looks in looks_of(variant):
        other = found.get(looks.case.state)
        if other is None or _light(looks) < _light(other):
            found[looks.case.state] = looks
    return list(found.values())


def _light(looks: Looks) -> float:
    return float(looks.case.levels[looks.case.flashing].max(axis=1).sum())


def _animated(
    study: SignalStudy, variant: SignalVariant, looks: Looks, video: bool, progress: Progress
) -> Iterator[SignalPicture]:
    """An animation after its still, and the same as MP4."""
    name, about = _name("flash", study, variant, looks), study.about
    state = about.states.get(looks.case.state) or looks.case.state
    says = f"Flashing, slowed, {variant.name}, {state}, {light_words(study, looks)}"
    progress(f"{name}.webp")
    still = png_file(flash_still(study, variant, looks), DPI)
    yield SignalPicture(f"{name}.png", still, says, opens=f"{name}.webp")
    pictures = list(flash_pictures(study, variant, looks))
    yield SignalPicture(f"{name}.webp", animation_file(pictures), says)
    if video:
        from scenelux.pictures.drive.video import video_file

        progress(f"{name}.mp4")
        yield SignalPicture(f"{name}.mp4", video_file(pictures), says)
