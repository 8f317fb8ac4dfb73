"""Reads EULUMDAT files: fields by line, stored planes by their listed angles, and what is odd about them."""

from __future__ import annotations

import numpy as np
from numpy.typing import NDArray

from scenelux.errors import UsageError
from scenelux.photometry.digits import shortest
from scenelux.photometry.distribution import IntensityDistribution, Opening
from scenelux.photometry.eulumdat.fields import SET_SEPARATOR, TEXT_KEYWORDS, Field, other_set_keyword
from scenelux.photometry.eulumdat.head import Head, LampSet, read_head
from scenelux.photometry.eulumdat.lines import Lines, with_plain_line_ends
from scenelux.photometry.eulumdat.planes import stored_planes, unfold_planes
from scenelux.photometry.faults import FaultLog
from scenelux.photometry.file import PhotometricFile
from scenelux.photometry.intensities import check_intensities, clean_intensities
from scenelux.photometry.keywords import HOUSING_MM
from scenelux.photometry.limits import LARGEST_SIZE_M, MOST_LAMPS, USUAL_SIZE_M
from scenelux.photometry.measures import flux_lm
from scenelux.photometry.symmetry import Refused
from scenelux.photometry.text import plain_bytes

__all__ = ["read_eulumdat"]

Array = NDArray[np.float64]
Factors = tuple[tuple[str, float], ...]

_PLANES = Field("28", "C-angle", "number")
_GAMMAS = Field("29", "gamma angle", "number")
_CANDELA = Field("30", "intensity", "number")
_SIDES = ("C0", "C90", "C180", "C270")
_COUNT = Field("4", "number of C-planes", "whole")
_REFUSED = {
    "planes": _COUNT,
    "C-angles": _PLANES,
    "horizontal angles": _PLANES,
    "gamma angles": _GAMMAS,
    "vertical angles": _GAMMAS,
}


def read_eulumdat(data: bytes, name: str = "", *, lamp_set: int = 1) -> PhotometricFile:
    """Reads an EULUMDAT file (.ldt).

    Parameters
    ----------
    data : the bytes of the file, at most 32 MB and 4 million intensities all around.
    name : of the file, for messages.
    lamp_set : which of several lamp sets the intensities hold for, counted from 1.

    Source
    ------
    The format as described by its implementers; its original text was not read.
    """
    log = FaultLog(name)
    log.body = with_plain_line_ends(plain_bytes(data, log))
    lines = Lines(log)
    head = read_head(lines, log)
    chosen = _chosen_set(head, lamp_set, lines, log)
    factors = _factors(head, chosen, lines, log)
    distribution, symmetry = _read_distribution(head, factors, lines, log)
    if lines.empty:
        names = dict.fromkeys("direct ratios" if "direct ratio" in one else one for one in lines.empty)
        log.warn(110, f"empty fields are read as 0, the conversion factor as 1: {', '.join(names)}")
    keywords, flux = _keywords(head, chosen), chosen.numbers["lamp flux"]
    rated = None if chosen.numbers["number of lamps"] < 0.0 else flux
    opening, watts = _opening(head.numbers, lines, log), _watts(chosen, log)
    if tilt := head.numbers["tilt during measurement"]:
        log.warn(117, f"the lamp was measured tilted by {tilt:g} deg; the intensities are used as they stand",
                 lines.offsets["tilt during measurement"])  # fmt: skip
    check_intensities(distribution, rated, keywords, log)
    _check_output_ratio(distribution, flux, head.numbers, lines, log)
    return PhotometricFile(
        format="EULUMDAT", edition="", distribution=distribution, opening=opening, keywords=keywords,
        symmetry=symmetry, factors=factors, lamps=abs(int(chosen.numbers["number of lamps"])), rated_flux_lm=rated,
        input_watts=watts, warnings=tuple(log.warnings),
    )  # fmt: skip


def _chosen_set(head: Head, lamp_set: int, lines: Lines, log: FaultLog) -> LampSet:
    if not 1 <= lamp_set <= len(head.sets):
        raise UsageError("is not a lamp set of the file", file=log.file or None, key="lamp_set", value=lamp_set,
                         accepted=f"the file has sets 1 to {len(head.sets)}")  # fmt: skip
    if len(head.sets) > 1:
        log.warn(114, f"the file has {len(head.sets)} lamp sets, the intensities are those of set {lamp_set}",
                 lines.offsets["number of lamp sets"])  # fmt: skip
    return head.sets[lamp_set - 1]


def _factors(head: Head, chosen: LampSet, lines: Lines, log: FaultLog) -> Factors:
    """Name and value of what the intensities of the file, in candela per 1000 lm, are multiplied with."""
    flux, conversion = chosen.numbers["lamp flux"], head.numbers["conversion factor"]
    conversion_at = lines.offsets["conversion factor"]
    for name, value, offset in (("lamp flux", flux, chosen.flux_at), ("conversion factor", conversion, conversion_at)):
        if value < 0.0:
            field = "26c" if name == "lamp flux" else "24"
            raise log.error(61, "is negative", offset, key=f"{name} (field {field})", value=f"{value:g}",
                            accepted="give a number from 0 up")  # fmt: skip
        if value == 0.0:
            log.warn(61, f"the {name} is 0: the lamp is dark", offset)
    if conversion not in (0.0, 1.0):
        log.warn(113, f"the conversion factor {conversion:g} is applied; programs disagree about it", conversion_at)
    if abs(chosen.numbers["number of lamps"]) > MOST_LAMPS:
        raise log.error(22, "is too large", chosen.offset, key="number of lamps (field 26a)",
                        value=int(chosen.numbers["number of lamps"]), accepted=f"give 1 to {MOST_LAMPS}")  # fmt: skip
    if chosen.numbers["number of lamps"] == 0.0:
        log.warn(104, "the number of lamps is 0", chosen.offset)
    return ("lamp flux in 1000 lm", flux / 1000.0), ("conversion factor", conversion)


def _read_distribution(head: Head, factors: Factors, lines: Lines, log: FaultLog) -> tuple[IntensityDistribution, str]:
    symmetry, count, gammas = (
        int(head.numbers[name]) for name in ("symmetry", "number of C-planes", "number of gamma angles")
    )
    try:
        stored = int(stored_planes(symmetry, count).size)
        listed = _begin_table(symmetry, count, stored, gammas, lines, log)
        planes = lines.table(_PLANES, 0, listed)
        gamma = lines.table(_GAMMAS, listed, gammas)
        written = lines.table(_CANDELA, listed + gammas, stored * gammas).reshape(stored, gammas)
        lines.forget()
        candela = clean_intensities(written, factors[0][1] * factors[1][1], log, lines.offsets[_CANDELA.name])
        del written

        def warn(code: int, sentence: str) -> None:
            log.warn(code, sentence, lines.offsets[_GAMMAS.name if code == 39 else _PLANES.name])

        h, v, candela, words = unfold_planes(symmetry, planes, gamma, candela, warn)
    except Refused as refused:
        field = _REFUSED[refused.key]
        key = field.key if field is _COUNT else f"{field.name}s (field {field.number})"
        raise log.error(refused.code, refused.problem, lines.offsets[field.name], key=key,
                        accepted=refused.accepted) from None  # fmt: skip
    return IntensityDistribution("C", h, v, candela), words


def _begin_table(symmetry: int, count: int, stored: int, gammas: int, lines: Lines, log: FaultLog) -> int:
    """Checks the number of lines against the counts; gives how many C-angles are listed."""
    listed, left = count, lines.left
    if symmetry == 1 and count > 1 and left == 1 + 2 * gammas:
        log.warn(118, f"{count} C-planes are announced, one is listed", lines.offsets[_COUNT.name])
        listed = 1
    announced = (
        f"C-planes {count}, gamma angles {gammas}, symmetry {symmetry}: the table has {listed} + {gammas} + "
        f"{stored} x {gammas} lines"
    )
    if symmetry != 0 and left == count + gammas + count * gammas:
        announced += "; symmetry 0 would fit"
    lines.begin_table("angles and intensities (fields 28 to 30)", listed + gammas + stored * gammas, announced)
    return listed


def _keywords(head: Head, chosen: LampSet) -> tuple[tuple[str, str], ...]:
    """The texts, and the numbers that belong to no other part of a photometric file."""
    numbers = head.numbers
    pairs = [(TEXT_KEYWORDS[name], text) for name, text in (head.texts | chosen.texts).items()]
    size = [shortest(numbers[f"luminaire {name}"]) for name in ("length", "width", "height")]
    pairs += [
        ("_LUMINAIRETYPE", _unless_zero(numbers["luminaire type"])),
        (HOUSING_MM, " ".join(size) if any(one != "0" for one in size) else ""),
        ("_DFF", _unless_zero(numbers["downward flux fraction"])),
        ("_LORL", _unless_zero(numbers["light output ratio"])),
        ("_MEASUREMENTTILT", _unless_zero(numbers["tilt during measurement"])),
    ]
    pairs += [
        (other_set_keyword(number), SET_SEPARATOR.join(one.tokens))
        for number, one in enumerate(head.sets, start=1)
        if one is not chosen
    ]
    if any(head.ratios):
        pairs.append(("_DIRECTRATIOS", " ".join(shortest(ratio) for ratio in head.ratios)))
    return tuple((key, text) for key, text in pairs if text)


def _unless_zero(value: float) -> str:
    return shortest(value) if value else ""


def _opening(numbers: dict[str, float], lines: Lines, log: FaultLog) -> Opening:
    """Luminous length lies along C90-C270 here and along the 0-degree plane in an opening: the two are swapped.

    Found on files of one lamp in both formats; the original text was not read.
    """
    names = ("luminous length", "luminous width", *(f"luminous height at {side}" for side in _SIDES))
    sizes = []
    for name in names:
        if numbers[name] < 0.0:
            log.warn(119, f"the {name} is negative, read without its sign", lines.offsets[name])
        sizes.append(abs(numbers[name]) / 1000.0)
        if sizes[-1] > LARGEST_SIZE_M:
            raise log.error(105, "is no size of a lamp", lines.offsets[name], key=name, value=f"{numbers[name]:g}",
                            accepted="give millimetres")  # fmt: skip
    if max(sizes) > USUAL_SIZE_M:
        told = f"the luminous opening is {max(sizes):g} m large: sizes are in millimetres"
        log.warn(105, told, lines.offsets[names[0]])
    length, width, *heights = sizes
    height = max(heights)
    if min(heights) != height:
        log.warn(116, f"the luminous heights at C0, C90, C180, C270 differ, the largest counts, {1000 * height:g} mm",
                 lines.offsets[names[2]])  # fmt: skip
    if length > 0.0 and width == 0.0:
        return Opening("ellipse", length, length, height, "vertical cylinder" if height else "circle")
    if length == width == height == 0.0:
        return Opening()
    return Opening("rectangle", width, length, height, "box" if height else "rectangle")


def _watts(chosen: LampSet, log: FaultLog) -> float:
    watts = chosen.numbers["watts"]
    if watts < 0.0:
        log.warn(106, f"the input watts are {watts:g}, read as 0, not stated", chosen.offset)
    return max(watts, 0.0)


def _check_output_ratio(
    distribution: IntensityDistribution, flux: float, numbers: dict[str, float], lines: Lines, log: FaultLog
) -> None:
    """Compares the light output ratio of the file with the one that the intensities give."""
    stated = numbers["light output ratio"]
    if stated <= 0.0 or flux <= 0.0:
        return
    found = 100.0 * flux_lm(distribution) / flux
    if abs(found - stated) > 2.0:
        conversion = numbers["conversion factor"]
        without = f" ({found / conversion:.1f} % without the conversion factor)" if conversion not in (0.0, 1.0) else ""
        log.warn(115, f"the light output ratio is stated as {stated:g} %, the intensities give {found:.1f} %{without}",
                 lines.offsets["light output ratio"])  # fmt: skip
