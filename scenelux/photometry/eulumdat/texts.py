"""Texts and numbers as an EULUMDAT file has them, and the keywords of a photometric file that find a field there."""

from __future__ import annotations

import re
import unicodedata

from scenelux.photometry.digits import PLAIN_NUMBER, six_digits
from scenelux.photometry.eulumdat.fields import SET_SEPARATOR, TEXT_KEYWORDS
from scenelux.photometry.file import PhotometricFile
from scenelux.photometry.keywords import HOUSING_MM, RATED_LUMENS
from scenelux.photometry.limits import LARGEST_NUMBER
from scenelux.photometry.lm63.text import looks_like_lm63

__all__ = ["kept_numbers", "kept_rated_flux_lm", "kept_texts", "other_sets"]

_LONGEST = 78
_LONGEST_NUMBER = 40
_MOST_OTHER_SETS = 99
_WHOLE = re.compile(r"-?[0-9]{1,6}")
_OTHER_SET = re.compile(r"_LAMPSET[0-9]+")
_COMPUTED = {"_DFF": "downward flux fraction", "_LORL": "light output ratio"}
_NUMBERS = {"_LUMINAIRETYPE": 1, HOUSING_MM: 3, "_MEASUREMENTTILT": 1, "_DIRECTRATIOS": 10}  # how many


def kept_texts(file: PhotometricFile, told: list[str]) -> dict[str, str]:
    """Text fields by name; tells which keywords find no field.

    Parameters
    ----------
    file : to be written.
    told : takes the sentences.
    """
    keys = dict(TEXT_KEYWORDS)
    if not file.text("ISSUEDATE") and file.text("DATE"):
        keys["date and user"] = "DATE"
    homes = {*keys.values(), *_NUMBERS, *_COMPUTED, *([RATED_LUMENS] if kept_rated_flux_lm(file) else [])}
    _tell_homeless(file, homes, told)
    return {name: _western(key, file.text(key), told) for name, key in keys.items()}


def _tell_homeless(file: PhotometricFile, homes: set[str], told: list[str]) -> None:
    seen: set[str] = set()
    lost: list[str] = []
    for key, _ in file.keywords:
        if key == "MORE" or (key in homes and key not in seen) or _OTHER_SET.fullmatch(key):
            seen.add(key)
        else:
            lost.append(key or "text without a keyword")
    if lost:
        told.append(f"the format has no field for {', '.join(dict.fromkeys(lost))}")


def _western(key: str, text: str, told: list[str]) -> str:
    """A text in letters of Windows-1252, at most 78 of them."""
    plain = "".join(_letter(letter) for letter in unicodedata.normalize("NFC", text)).strip()
    if plain[:1] == "<" or looks_like_lm63(plain.encode("utf-8")):
        plain = f'"{plain}"'
        told.append(f"the text of {key} stands in quotes, since files of another format begin like it")
    if "?" in plain and plain.count("?") > text.count("?"):
        told.append(f"letters of {key} that Windows-1252 lacks become question marks")
    if len(plain) > _LONGEST:
        told.append(f"the text of {key} is cut to {_LONGEST} characters")
    return plain[:_LONGEST].rstrip()


def _letter(letter: str) -> str:
    """The letter, the same one without its accents, or a question mark."""
    if unicodedata.category(letter) in ("Cc", "Zl", "Zp"):
        return " "
    for form in (
        letter,
        "".join(one for one in unicodedata.normalize("NFKD", letter) if unicodedata.combining(one) == 0),
    ):
        if form.encode("cp1252", errors="ignore").decode("cp1252") == form:
            return form
    return "?"


def _numbers(text: str, count: int) -> list[str] | None:
    """So many numbers of a text in the form of the file, or None."""
    tokens = text.split()
    plain = len(text) <= _LONGEST_NUMBER * count and all(PLAIN_NUMBER.fullmatch(token.encode()) for token in tokens)
    if len(tokens) != count or not plain or any(abs(float(token)) > LARGEST_NUMBER for token in tokens):
        return None
    return [six_digits(float(token)) for token in tokens]


def kept_rated_flux_lm(file: PhotometricFile) -> float | None:
    """Rated flux that other formats write as a keyword beside absolute intensities [lm]; None where there is none.

    Parameters
    ----------
    file : to be written.
    """
    found = _numbers(file.text(RATED_LUMENS), 1)
    return float(found[0]) if found and float(found[0]) > 0.0 else None


def kept_numbers(
    file: PhotometricFile, usual_type: str, computed: dict[str, float], told: list[str]
) -> tuple[dict[str, str], list[str]]:
    """Number fields by name, and the ten direct ratios.

    Parameters
    ----------
    file : to be written.
    usual_type : of the luminaire, where no keyword says it.
    computed : keyword and value of the two shares of flux [%].
    told : takes the sentences.
    """
    found = {}
    for key, count in _NUMBERS.items():
        text = file.text(key)
        found[key] = _numbers(text, count)
        if text and found[key] is None:
            told.append(f"the keyword {key} does not hold {count} plain number{'s' if count > 1 else ''}")
    size = found[HOUSING_MM] or ["0"] * 3
    values = {f"luminaire {name}": one for name, one in zip(("length", "width", "height"), size, strict=True)}
    values["luminaire type"] = (found["_LUMINAIRETYPE"] or [usual_type])[0]
    values["tilt during measurement"] = (found["_MEASUREMENTTILT"] or ["0"])[0]
    values["conversion factor"] = "1"
    for key, value in computed.items():
        values[_COMPUTED[key]] = six_digits(round(value, 2))
        stated = _numbers(file.text(key), 1)
        if stated and abs(float(stated[0]) - value) > 0.5:
            told.append(f"the {_COMPUTED[key]} of {stated[0]} % is written as computed, {value:.1f} %")
    return values, found["_DIRECTRATIOS"] or ["0"] * 10


def other_sets(file: PhotometricFile, told: list[str]) -> list[list[str]]:
    """The six lines of each further lamp set that keywords keep.

    Parameters
    ----------
    file : to be written.
    told : takes the sentences.
    """
    sets = []
    for key, text in file.keywords:
        if not _OTHER_SET.fullmatch(key):
            continue
        fields = text.split(SET_SEPARATOR)
        if (
            len(fields) == 6
            and _WHOLE.fullmatch(fields[0])
            and _numbers(fields[2], 1)
            and (not fields[5] or _numbers(fields[5], 1))
        ):
            sets.append([_western(key, one, told) for one in fields])
        else:
            told.append(f"the keyword {key} does not hold a lamp set")
    if len(sets) > _MOST_OTHER_SETS:
        told.append(f"of {len(sets)} further lamp sets the first {_MOST_OTHER_SETS} are written")
    return sets[:_MOST_OTHER_SETS]
