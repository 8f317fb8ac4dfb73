"""The animation of a flash cycle: slow enough, a warning first with all its words, played once, the same bytes."""

from __future__ import annotations

import io
from dataclasses import replace

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st
from PIL import Image

from scenelux.pictures.drive.animation import Shown, animation_file
from scenelux.pictures.drive.flashes import measure_flashes
from scenelux.pictures.drive.warning import warning_lines
from scenelux.pictures.signal import animation, signal_pictures
from scenelux.pictures.signal.animation import flash_pictures, flash_still, flash_words
from scenelux.pictures.signal.courses import Looks, looks_of
from scenelux.pictures.signal.flash_time import MOST_PICTURES, flash_run, slowing
from tests.unit.pictures.signal.flashing import case, signal_study

STUDY = signal_study()
VARIANT = STUDY.variants[0]
LOOKS = looks_of(VARIANT)[0]


@pytest.fixture(scope="module")
def pictures() -> list[Shown]:
    return list(flash_pictures(STUDY, VARIANT, LOOKS))


def decoded(file: bytes) -> tuple[list[np.ndarray], list[float], int]:
    """Pictures, durations [s] and how often it plays, as another program reads them."""
    image, found, shown = Image.open(io.BytesIO(file)), [], []
    for number in range(image.n_frames):
        image.seek(number)
        image.load()
        found.append(np.asarray(image.convert("RGB")))
        shown.append(image.info["duration"] / 1000.0)
    return found, shown, image.info["loop"]


def test_the_written_pictures_keep_to_three_flashes_a_second_and_play_once(pictures: list[Shown]) -> None:
    seen, shown, loop = decoded(animation_file(pictures))
    assert loop == 1 and shown[0] >= 5.0 and len(seen) == len(pictures)
    found = measure_flashes(seen, shown)
    assert 0.0 < found.most_flashes_per_s <= 3.0
    assert found.passes and found.worst_share == 0.0 and found.most_red_flashes_per_s == 0.0


def test_bursts_of_all_lamps_at_once_are_slowed_as_bursts() -> None:
    """Four pulses of 25 ms within 0.2 s, twice a second: by the mean rate four would stay in a second."""
    times = np.append(np.arange(8) * 0.025, 0.5)
    lit = np.array([1.0, 0, 1, 0, 1, 0, 1, 0])
    burst = replace(LOOKS.case, times_s=times, levels=np.where(LOOKS.case.flashing[:, None], lit, 0.0))
    shown = list(flash_pictures(STUDY, VARIANT, Looks(burst, ("day",))))
    found = measure_flashes([one.pixels for one in shown], [round(one.seconds, 3) for one in shown])
    assert slowing(times, burst.levels) == 6.8
    assert 2.0 < found.most_flashes_per_s <= 3.0 and found.passes


def test_without_slowing_the_same_pictures_would_flash_too_often(pictures: list[Shown]) -> None:
    """The measure itself must see what is slowed: eight times faster, each lamp flashes more than 3 times a second."""
    shown = [one.seconds / 8.0 for one in pictures]
    assert measure_flashes([one.pixels for one in pictures], shown).most_flashes_per_s > 3.0


@given(st.lists(st.tuples(st.integers(1, 200), st.integers(0, 7)), min_size=1, max_size=10))
def test_no_second_holds_more_than_three_rises_of_any_lamps(parts: list[tuple[int, int]]) -> None:
    """Counted by brute force over ten cycles; three lamps, lit as the bits of a number say."""
    times = np.concatenate(([0.0], np.cumsum([length for length, _ in parts]))) / 1000.0
    levels = np.array([[lit >> bit & 1 for _, lit in parts] for bit in range(3)], float)
    factor, cycle = slowing(times, levels), times[-1]
    before, rises = levels[:, -1], []
    for turn in range(10):
        for at in range(len(parts)):
            if (levels[:, at] > before).any():
                rises.append(factor * (times[at] + turn * cycle))
            before = levels[:, at]
    assert factor >= 1.0
    if factor > 1.0:
        assert all(sum(start <= one < start + 1.0 for one in rises) <= 3 for start in rises)
        closest = min(later - first for first, later in zip(rises, rises[3:], strict=False))
        assert closest <= 1.021 * factor / (factor - 0.1)  # and not slower than it must be


def test_it_shows_every_switching_instant_slowed_by_the_factor(pictures: list[Shown]) -> None:
    run = flash_run(LOOKS.case)
    assert run.factor == 3.4 and run.rounds == 3
    assert len(pictures) == 1 + 3 * 8
    assert sum(one.seconds for one in pictures[1:-1]) == pytest.approx(3.4 * (3 * 0.8 - 0.1))


def test_a_long_cycle_is_shown_in_part_with_a_bounded_number_of_pictures() -> None:
    base = LOOKS.case
    count = 4000
    long = replace(base, times_s=np.arange(count + 1) * 0.1, levels=np.tile(base.levels, (1, count // 8)))
    run = flash_run(long, 123.0)
    assert not run.excerpt.whole and len(run.first) <= MOST_PICTURES
    assert sum(run.seconds) <= 30.01
    assert run.first[0] <= 123.0 <= run.last[-1]


def test_segments_too_short_to_be_shown_are_joined() -> None:
    times = np.array([0.0, 0.25, 0.2501, 0.5, 0.5002, 1.0])
    run = flash_run(replace(LOOKS.case, times_s=times, levels=LOOKS.case.levels[:, :5]))
    assert min(run.seconds) >= 0.03 - 1e-9
    assert run.first[0] == 0.0 and run.last[-1] == 1.0


def words_of(monkeypatch: pytest.MonkeyPatch) -> str:
    told: list[str] = []
    monkeypatch.setattr(animation, "lettered", lambda draw, place, text, *rest, **more: told.append(text))
    flash_still(STUDY, VARIANT, LOOKS)
    return " ".join(told)


def test_a_picture_says_how_it_is_shown_and_levels_in_words(monkeypatch: pytest.MonkeyPatch) -> None:
    told = words_of(monkeypatch)
    for text in ("3.4 times slower than life", "at most 3 times a second", "not computed luminance", "not evidence",
                 "INVENTED DEMONSTRATION DATA", "100 %", "off", "rear warning: left", "3 times"):  # fmt: skip
        assert text in told, text


def test_the_warning_says_everything_and_nothing_of_it_is_cut(pictures: list[Shown]) -> None:
    still = pictures[0].pixels
    height, width = still.shape[:2]
    paragraphs = flash_words(STUDY, VARIANT, LOOKS)
    lines = warning_lines((width, height), paragraphs)
    said, wanted = " ".join(line.text for line in lines), " ".join(text for text, _, _ in paragraphs)
    assert said.split() == wanted.split()
    assert "sensitive to flashing light" in said and STUDY.about.cautions[-1] in said
    rows, columns = np.nonzero(still.min(axis=2) < 128)
    assert rows.max() <= lines[-1].bottom <= height - 10 and columns.max() < width - 30 and columns.min() > 30
    assert rows.max() > lines[-1].top  # the last line is there


def test_the_still_shows_most_light(pictures: list[Shown]) -> None:
    still = flash_still(STUDY, VARIANT, LOOKS)
    assert any(np.array_equal(still, one.pixels) for one in pictures[1:])
    views = slice(animation.HEAD_PX, animation.HEAD_PX + animation.VIEW_PX)
    assert still[views].sum() == max(one.pixels[views].sum() for one in pictures[1:])


def test_a_higher_level_is_a_larger_spot() -> None:
    stills = [flash_still(STUDY, VARIANT, Looks(case("blocking", light), (light,))) for light in ("night", "day")]
    bright = [int((still[70:320, :550] > 250).sum()) for still in stills]
    assert bright[1] > 1.5 * bright[0] > 0


def test_the_same_study_gives_the_same_bytes(pictures: list[Shown]) -> None:
    assert animation_file(list(flash_pictures(STUDY, VARIANT, LOOKS))) == animation_file(pictures)


def test_each_duty_state_has_one_animation_at_its_dimmest_after_its_still() -> None:
    found = [one for one in signal_pictures(STUDY) if one.name.startswith("flash")]
    assert [one.name for one in found] == [
        "flash-blocking-night.png", "flash-blocking-night.webp", "flash-working-night.png", "flash-working-night.webp",
    ]  # fmt: skip
    assert [one.opens for one in found] == ["flash-blocking-night.webp", "", "flash-working-night.webp", ""]
