"""The numbers of an XML document by the number grammar of photometric files."""

from __future__ import annotations

import re
from array import array

import numpy as np

from scenelux.photometry.digits import LONGEST_NUMBER, NUMBER, PLAIN_NUMBER
from scenelux.photometry.faults import FaultLog
from scenelux.photometry.limits import LARGEST_NUMBER

__all__ = ["Numbers"]

_LETTERS = b"0123456789+-. \t\r\n"
_EXPONENTS = b"eEdD"
_TO_E = str.maketrans("dD", "ee")
_SHOWN = 40
_COMMA = re.compile(r"[+-]?[0-9]+,[0-9]+")
_WHOLE = "give digits only"
_ACCEPTED = "give digits with a decimal point"


class Numbers:
    """Reads numbers one by one or in long lists, and words the errors about them.

    Parameters
    ----------
    log : takes the warnings and words the errors.
    """

    def __init__(self, log: FaultLog) -> None:
        self._log = log

    def extend(self, numbers: array[float], words: list[str], key: str, offsets: array[int]) -> None:
        """Adds numbers to a list.

        Parameters
        ----------
        numbers : the list, of as many numbers as stand before the words.
        words : as in the document.
        key : what they are, for messages.
        offsets : of each number of the whole list in the document.
        """
        first = len(numbers)
        others = set("\n".join(words).encode("utf-8", "replace").translate(None, _LETTERS))
        try:
            if not others <= set(_EXPONENTS) or max(map(len, words), default=0) > LONGEST_NUMBER:
                raise ValueError
            # float() of a word of these letters alone takes exactly the grammar: no nan, hex or underscore.
            numbers.extend(map(float, [word.translate(_TO_E) for word in words] if others else words))
            if not (np.abs(numbers[first:]) <= LARGEST_NUMBER).all():
                raise ValueError
            if others:
                self._log.warn(20, "numbers are written with exponents", offsets[first])
        except ValueError:
            del numbers[first:]
            for at, word in enumerate(words, first):
                numbers.append(self.real(word, key, offsets[at]))

    def real(self, word: str, key: str, offset: int) -> float:
        """One number, with blanks around it or not."""
        plain = word.strip(" \t\r\n").encode("utf-8", "replace")
        if len(plain) > LONGEST_NUMBER or not NUMBER.fullmatch(plain):
            raise self._misfit(plain.decode(), key, offset)
        if not PLAIN_NUMBER.fullmatch(plain):
            self._log.warn(20, "numbers are written with exponents", offset)
        value = float(plain.decode().translate(_TO_E))
        if not abs(value) <= LARGEST_NUMBER:
            raise self._log.error(22, "is too large", offset, key=key, value=plain.decode()[:_SHOWN],
                                  accepted=f"give at most {LARGEST_NUMBER:g}")  # fmt: skip
        return value + 0.0

    def whole(self, word: str, key: str, offset: int) -> int:
        """One whole number, which may be written as 3.0 but not with an exponent."""
        value = self.real(word, key, offset)
        if not PLAIN_NUMBER.fullmatch(word.strip(" \t\r\n").encode()):
            raise self._log.error(20, "is not a whole number written plainly", offset, key=key, value=word.strip(),
                                  accepted=_WHOLE)  # fmt: skip
        if value != int(value):
            raise self._log.error(21, "is not a whole number", offset, key=key, value=word.strip(), accepted=_WHOLE)
        return int(value)

    def _misfit(self, word: str, key: str, offset: int) -> Exception:
        shown = word if len(word) <= _SHOWN else f"{word[:_SHOWN]}..."
        if not word:
            return self._log.error(24, "is empty", offset, key=key, accepted=_ACCEPTED)
        if len(word) > LONGEST_NUMBER:
            return self._log.error(22, f"has more than {LONGEST_NUMBER} characters", offset, key=key, value=shown,
                                   accepted=_ACCEPTED)  # fmt: skip
        if _COMMA.fullmatch(word):
            return self._log.error(19, "is written with a decimal comma", offset, key=key, value=shown,
                                   accepted=_ACCEPTED)  # fmt: skip
        if re.fullmatch(r"[0-9.+-]*[0-9][0-9.+-]*", word):
            return self._log.error(23, "runs numbers together", offset, key=key, value=shown, accepted=_ACCEPTED)
        return self._log.error(22, "is not a number", offset, key=key, value=shown, accepted=_ACCEPTED)
