"""The address of a number: which document states it, where, and how far that was confirmed."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Literal

__all__ = ["CAUTIONS", "Source", "Status"]

Status = Literal["published", "quoted", "unconfirmed", "invented", "own"]
"""published: read in the document; quoted: read in a secondary text; unconfirmed: from memory or a
trade page, never decides a verdict; invented: demonstration; own: the user's own rule."""


@dataclass(frozen=True)
class Source:
    """Title, edition and clause of a document, and the status of what is taken from it."""

    title: str
    edition: str = ""
    clause: str = ""
    status: Status = "unconfirmed"

    def __str__(self) -> str:
        return ", ".join(part for part in (self.title, self.edition, self.clause) if part)


CAUTIONS = (
    "This is a calculated estimate, not a certificate. Verify on the finished vehicle with a calibrated meter.",
    "Results hold for the duty states, light levels, weather and lens dirt stated here, and for no others.",
    "Lighting does not replace traffic control. Never dim a required lamp below its legal minimum.",
    "Flashing light can harm photosensitive people and distract drivers.",
    "A result is no better than its lamp data: see the data class of each luminaire.",
    "Local codes, the authority having jurisdiction and licensed practice decide.",
)
