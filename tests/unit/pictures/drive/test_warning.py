"""The still before moving lights: smaller letters where there is much to say, and never a word cut off."""

from __future__ import annotations

from itertools import pairwise

import numpy as np
import pytest

from scenelux.errors import LimitError
from scenelux.pictures.drive.warning import warning_lines, warning_picture

HEAD = ("Warning: moving lights", 30, True)
LONG = ("Word after word of a caution that goes on. " * 30, 14, False)


@pytest.mark.parametrize("size", [(960, 620), (700, 500), (560, 420)])
def test_all_words_fit_in_the_picture(size: tuple[int, int]) -> None:
    lines = warning_lines(size, [HEAD, LONG])
    assert " ".join(line.text for line in lines).split() == f"{HEAD[0]} {LONG[0]}".split()
    dark = np.argwhere(warning_picture(size, [HEAD, LONG]).min(axis=2) < 128)
    assert dark[:, 0].max() < size[1] - 8 and dark[:, 1].max() < size[0] - 30
    assert dark[:, 0].max() > lines[-1].top


def test_letters_shrink_only_where_they_must() -> None:
    assert warning_lines((960, 620), [HEAD])[0].size_px == 30
    assert warning_lines((560, 420), [HEAD, LONG])[0].size_px < 30


def test_lines_do_not_touch() -> None:
    lines = warning_lines((700, 500), [HEAD, LONG])
    assert all(one.bottom <= other.top + 2 for one, other in pairwise(lines))


def test_what_cannot_fit_is_an_error() -> None:
    with pytest.raises(LimitError, match="no room for its warning"):
        warning_lines((200, 100), [HEAD, LONG])
