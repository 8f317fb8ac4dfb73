"""Pictures of flashing lamps: strip charts, polar sheets, and an animation that waits to be started."""

from __future__ import annotations

from collections.abc import Callable, Iterator
from dataclasses import dataclass

from scenelux.study.results.signal import SignalStudy

__all__ = ["SignalPicture", "signal_pictures"]


@dataclass(frozen=True)
class SignalPicture:
    """A file of pictures.

    Parameters
    ----------
    name : of the file.
    content : of the file.
    says : what it shows.
    opens : the animation that a still stands for; empty of everything else.
    """

    name: str
    content: bytes
    says: str
    opens: str = ""


def signal_pictures(
    study: SignalStudy,
    *,
    animation: bool = True,
    video: bool = False,
    progress: Callable[[str], None] = lambda name: None,
) -> Iterator[SignalPicture]:
    """Every picture of a study, one at a time: polar sheets, strip charts, and animations with their stills.

    Parameters
    ----------
    study : each of its variants is drawn.
    animation : make an animation of each duty state, at the light level with least light.
    video : make each as MP4, too.
    progress : told the name of what comes next.
    """
    from scenelux.pictures.signal.files import files_of

    return files_of(study, animation, video, progress)
