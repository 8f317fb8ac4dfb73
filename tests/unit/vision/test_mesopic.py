"""Ends and ranges of the mesopic luminance."""

from __future__ import annotations

import numpy as np
import pytest

from scenelux.vision import mesopic_gain_percent, mesopic_luminance, mesopic_vision


def test_bright_fields_are_photopic_and_dark_ones_scotopic() -> None:
    assert mesopic_vision([5.0, 0.005], 1.0).adaptation == pytest.approx([1.0, 0.0], abs=2e-4)
    assert mesopic_luminance([50.0, 0.0005], 2.0).tolist() == pytest.approx([50.0, 0.001])


def test_no_light_stays_no_light() -> None:
    dark = mesopic_vision(0.0, 2.0)
    assert dark.luminance_cd_m2 == 0.0 and dark.adaptation == 0.0
    assert np.isnan(mesopic_gain_percent(0.0, 2.0))


@pytest.mark.parametrize(("light", "ratio"), [(-0.1, 1.0), (0.1, 0.0), (np.nan, 1.0), (0.1, np.nan), (np.inf, 1.0)])
def test_what_is_no_light_is_nan(light: float, ratio: float) -> None:
    assert np.isnan(mesopic_luminance(light, ratio))


def test_one_bad_value_spoils_no_other() -> None:
    together = mesopic_luminance([0.1, np.nan, 1.0], [[1.5], [2.0]])
    assert together.shape == (2, 3) and np.isnan(together).sum() == 2
    assert together[1, 0] == pytest.approx(mesopic_luminance(0.1, 2.0), rel=1e-10)


def test_a_bluer_light_gives_more_and_the_form_is_named() -> None:
    seen = mesopic_vision(0.1, np.linspace(0.3, 3.0, 20))
    assert (np.diff(seen.luminance_cd_m2) > 0).all() and seen.form == "cie191-mes2"
