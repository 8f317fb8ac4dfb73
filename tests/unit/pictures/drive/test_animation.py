"""The animation: a warning stands first, it plays once, nothing in it flashes, the same drive gives the same bytes."""

from __future__ import annotations

import io
from dataclasses import replace
from pathlib import Path

import numpy as np
import pytest
from PIL import Image

from scenelux.errors import LimitError, UsageError
from scenelux.pictures.drive import animation, warning
from scenelux.pictures.drive.animation import Shown, animation_file, drive_pictures, still_picture
from scenelux.pictures.drive.flashes import measure_flashes
from scenelux.study.approach.frames import MOST_FRAMES, WIDE_PX, ZOOM_PX, drive_frames, frames_of
from scenelux.study.approach.run import Asked, drive
from scenelux.study.results.approach import ApproachStudy
from scenelux.study.results.drive import DriveFrames
from tests.unit.study.approach.drives import CONE, scene_with

Drive = tuple[ApproachStudy, DriveFrames, list[Shown]]


@pytest.fixture(scope="module")
def driven(tmp_path_factory: pytest.TempPathFactory) -> Drive:
    scene = scene_with(tmp_path_factory.mktemp("scene"), objects=CONE, step=6)
    study = drive(scene, asked=Asked(light="night"))
    frames = drive_frames(scene, "as written", "car", "on", "night")
    return study, frames, list(drive_pictures(study, frames))


def decoded(file: bytes) -> tuple[Image.Image, list[np.ndarray], list[float]]:
    """Pictures and durations [s] of a file, as another program reads them."""
    image, pictures, shown = Image.open(io.BytesIO(file)), [], []
    for number in range(image.n_frames):
        image.seek(number)
        image.load()
        pictures.append(np.asarray(image.convert("RGB")))
        shown.append(image.info["duration"] / 1000.0)
    return image, pictures, shown


def test_the_written_pictures_do_not_flash_begin_with_a_still_and_play_once(driven: Drive) -> None:
    _, frames, pictures = driven
    image, seen, shown = decoded(animation_file(pictures))
    assert image.info["loop"] == 1
    assert len(seen) == len(frames.stations) + 1 == len(pictures)
    assert shown[0] >= 5.0
    found = measure_flashes(seen, shown)
    assert found.passes and found.worst_share == 0.0 and found.worst_red_share == 0.0


def test_it_runs_in_the_time_of_the_drive(driven: Drive) -> None:
    study, frames, pictures = driven
    way = study.variants[0].approaches[0]
    assert sum(one.seconds for one in pictures[1:-1]) == pytest.approx(way.times_s[-1])
    slower = list(drive_pictures(study, replace(frames, rates_per_s=(2.0, 4.0))))
    assert sum(one.seconds for one in slower[1:-1]) == pytest.approx(2.0 * way.times_s[-1])


def words_of(monkeypatch: pytest.MonkeyPatch, study: ApproachStudy, frames: DriveFrames) -> str:
    """All that is written on the warning and on the first picture."""
    told: list[str] = []
    for module in (animation, warning):
        monkeypatch.setattr(module, "lettered", lambda draw, place, text, *rest, **more: told.append(text))
    pictures = drive_pictures(study, frames)
    next(pictures), next(pictures)
    return " ".join(told)


def test_the_warning_says_what_moves_and_what_it_is_worth(driven: Drive, monkeypatch: pytest.MonkeyPatch) -> None:
    study, frames, _ = driven
    words = words_of(monkeypatch, study, frames)
    for said in ("Warning", "sensitive to light", "steady", "not evidence", "invented demonstration data", "real time",
                 "exposure locked", "visibility level", "not a certificate"):  # fmt: skip
        assert said in words


def test_the_factor_of_flashing_lamps_is_printed(driven: Drive, monkeypatch: pytest.MonkeyPatch) -> None:
    study, frames, _ = driven
    words = words_of(monkeypatch, study, replace(frames, rates_per_s=(4.5,)))
    assert "at most 3 a second" in words and "1.5 times slower" in words and "steady" not in words


def test_the_same_drive_gives_the_same_bytes(driven: Drive) -> None:
    study, frames, pictures = driven
    assert animation_file(list(drive_pictures(study, frames))) == animation_file(pictures)


def test_the_still_is_the_picture_at_the_stopping_sight_distance(driven: Drive) -> None:
    study, frames, pictures = driven
    way = study.variants[0].approaches[0]
    nearest = int(np.argmin(np.abs(way.distances_m[frames.stations] - way.stopping_distance_m)))
    assert np.array_equal(still_picture(study, frames), pictures[1 + nearest].pixels)


def test_pictures_are_bounded_before_they_are_made(driven: Drive) -> None:
    study, frames, _ = driven
    large = replace(frames, wide_cd_m2=np.broadcast_to(np.float32(0.0), (2, 2000, 2000)))
    with pytest.raises(LimitError, match="too large"):
        next(drive_pictures(study, large))


def test_of_many_stations_some_are_pictured(tmp_path: Path) -> None:
    scene = scene_with(tmp_path, people="", step=1)
    frames = drive_frames(scene, "as written", "car", "on", "day")
    assert len(frames.stations) == MOST_FRAMES
    assert (frames.stations[0], frames.stations[-1]) == (0, 180)
    assert frames.wide_cd_m2.shape == (MOST_FRAMES, WIDE_PX[1], WIDE_PX[0])
    assert frames.zoom_cd_m2.shape == (MOST_FRAMES, ZOOM_PX[1], ZOOM_PX[0])


def test_a_rise_that_hides_the_vehicle_is_not_pictured(tmp_path: Path) -> None:
    scene = scene_with(tmp_path, "profile = [[60, 0], [100, 6], [140, 0]]", people="", step=60)
    with pytest.raises(UsageError, match="cannot be pictured"):
        drive_frames(scene, "as written", "car", "on", "night")
    assert list(frames_of(scene, drive(scene))) == []


def test_the_whole_warning_fits_its_picture(driven: Drive) -> None:
    """Its lowest rows are bare."""
    _, _, pictures = driven
    assert (pictures[0].pixels[-6:] == pictures[0].pixels[-1, -1]).all()
