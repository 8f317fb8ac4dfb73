"""The animation as MP4: its pictures, their times and the warning are those of the WebP, and nothing in it flashes."""

from __future__ import annotations

import io
from importlib.util import find_spec

import numpy as np
import pytest

from scenelux.errors import UsageError
from scenelux.pictures.drive import video
from scenelux.pictures.drive.animation import Shown, drive_pictures
from scenelux.pictures.drive.flashes import measure_flashes
from scenelux.pictures.drive.video import PICTURES_PER_S, check_video, video_file
from scenelux.study.approach.frames import drive_frames
from scenelux.study.approach.run import Asked, drive
from tests.unit.study.approach.drives import scene_with

WITH_LIBRARY = pytest.mark.skipif(find_spec("av") is None, reason='the extra "video" is not installed')


@pytest.fixture(scope="module")
def pictures(tmp_path_factory: pytest.TempPathFactory) -> list[Shown]:
    scene = scene_with(tmp_path_factory.mktemp("scene"), step=20)
    study = drive(scene, asked=Asked(light="night"))
    return list(drive_pictures(study, drive_frames(scene, "as written", "car", "on", "night")))


def decoded(file: bytes) -> tuple[list[np.ndarray], list[float]]:
    """Pictures and when each begins [s], as another program reads them."""
    import av

    with av.open(io.BytesIO(file)) as content:
        frames = list(content.decode(video=0))
        assert not content.streams.audio
        return [one.to_ndarray(format="rgb24") for one in frames], [float(one.time) for one in frames]


@WITH_LIBRARY
def test_the_video_shows_the_pictures_of_the_animation_in_its_time_and_does_not_flash(pictures: list[Shown]) -> None:
    file = video_file(pictures)
    seen, begin = decoded(file)
    assert begin == pytest.approx([number / PICTURES_PER_S for number in range(len(seen))], abs=1e-6)
    ends = np.cumsum([one.seconds for one in pictures])
    assert len(seen) == pytest.approx(ends[-1] * PICTURES_PER_S, abs=1)
    height, width = pictures[0].pixels.shape[:2]
    middles = ends - 0.5 * np.array([one.seconds for one in pictures])
    for shown, middle in zip(pictures, middles, strict=True):
        there = seen[int(middle * PICTURES_PER_S)][:height, :width].astype(float)
        assert np.abs(there - shown.pixels).mean() < 3.0
    still = seen[: int(5.0 * PICTURES_PER_S) : 10]
    assert all(np.abs(one.astype(float) - still[0]).mean() < 1.0 for one in still), "the warning stands first"
    found = measure_flashes([one[::3, ::2] for one in seen], [1.0 / PICTURES_PER_S] * len(seen))
    assert found.passes and found.worst_share == 0.0 and found.worst_red_share == 0.0


@WITH_LIBRARY
def test_odd_sizes_are_filled_up() -> None:
    grey = [Shown(np.full((31, 45, 3), shade, np.uint8), 0.3) for shade in (40, 60)]
    seen, _ = decoded(video_file(grey))
    assert [one.shape for one in seen] == [(32, 46, 3)] * 12
    assert np.abs(seen[0][:28, :42].astype(float) - 40.0).max() <= 3.0
    assert np.abs(seen[-1][:28, :42].astype(float) - 60.0).max() <= 3.0


def test_without_the_library_one_sentence_says_what_to_install(monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr(video, "find_spec", lambda name: None)
    with pytest.raises(UsageError, match=r"--video .*not installed.*scenelux\[video\]"):
        check_video()
