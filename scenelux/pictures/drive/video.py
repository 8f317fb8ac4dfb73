"""The animation of an approach as MP4, by the library of the extra "video"; its pictures are those of the WebP."""

from __future__ import annotations

import io
from collections.abc import Sequence
from fractions import Fraction
from importlib.util import find_spec
from itertools import pairwise

import numpy as np
from PIL import Image

from scenelux.errors import UsageError
from scenelux.pictures.drive.animation import Shown

__all__ = ["PICTURES_PER_S", "check_video", "video_file"]

PICTURES_PER_S = 20
"""Many players know a steady rate alone, so a picture is repeated for as long as it is shown; repeats take no room."""

CODECS = ("libx264", "mpeg4")
"""The first of them that the library was built with."""

OPTIONS = {"libx264": {"crf": "18", "bf": "0", "preset": "fast"}, "mpeg4": {"qscale": "3"}}
"""Pictures that are told from later ones ("bf") made the edges of letters flicker by more than a tenth."""


def check_video() -> None:
    """Raises UsageError, which says what to install, where the library is not there."""
    if find_spec("av") is None:
        raise UsageError(
            "needs a library that is not installed",
            key="--video",
            accepted='install the extra "video": pip install "scenelux[video]"',
        )


def video_file(pictures: Sequence[Shown]) -> bytes:
    """The pictures as MP4 at a steady rate. Unlike those of all other files its bytes are the encoder's to choose.

    Parameters
    ----------
    pictures : of one size, the warning first.
    """
    check_video()
    import av

    codec = next(name for name in CODECS if name in av.codecs_available)
    buffer = io.BytesIO()
    # One thread, and no marks of the library or of the time.
    with av.open(buffer, "w", format="mp4", options={"fflags": "+bitexact"}) as file:
        stream = file.add_stream(codec, rate=PICTURES_PER_S, options=OPTIONS[codec])
        height, width = (size + size % 2 for size in pictures[0].pixels.shape[:2])
        stream.height, stream.width, stream.pix_fmt = height, width, "yuv420p"
        stream.codec_context.thread_count, stream.codec_context.time_base = 1, Fraction(1, PICTURES_PER_S)
        for shown, times in zip(pictures, _times([one.seconds for one in pictures]), strict=True):
            canvas = Image.new("RGB", (width, height), (255, 255, 255))  # The format knows even sizes alone.
            canvas.paste(Image.fromarray(shown.pixels), (0, 0))
            for _ in range(times):
                file.mux(stream.encode(av.VideoFrame.from_ndarray(np.asarray(canvas), format="rgb24")))
        file.mux(stream.encode())
    return buffer.getvalue()


def _times(seconds: Sequence[float]) -> list[int]:
    """How often each picture is repeated, so that it ends where it should to a half of a repeat.

    Example
    -------
    >>> _times([1.0, 0.12, 0.12, 0.12])
    [20, 2, 3, 2]
    """
    ends = np.round(np.cumsum([0.0, *seconds]) * PICTURES_PER_S).astype(int).tolist()
    return [max(1, later - before) for before, later in pairwise(ends)]
