"""The address of every formula of glare that a study uses, in lines for its notes."""

from __future__ import annotations

from scenelux.sources import Source
from scenelux.vision import HEADLINE_FORM, VEIL_FORMS, VeilForm, veil_form
from scenelux.vision.discomfort import DE_BOER_SOURCE
from scenelux.vision.threshold import OBSERVER_AGE_YEARS, THRESHOLD_INCREMENT_SOURCE, VEIL_FORM

__all__ = ["glare_notes"]


def glare_notes() -> tuple[str, ...]:
    """One line for the headline form, the forms beside it, the threshold increment and the discomfort rating.

    Example
    -------
    >>> glare_notes()[-1]
    'discomfort rating: Schmidt-Clausen and Bindels, discomfort glare of headlamps, 1974, formula (unconfirmed)'
    """
    headline = veil_form(HEADLINE_FORM)
    beside = "; ".join(_form(form) for form in VEIL_FORMS if form is not headline)
    return (
        f"veiling luminance by the form {_form(headline)}; its range {_source(headline.range_source)}; "
        f"{headline.formula}",
        f"other forms of the veil: {beside}",
        "threshold increment is an equivalent: EN 13201-3 asks for a fixed installation and a gaze 1 deg down",
        f"threshold increment: {_source(THRESHOLD_INCREMENT_SOURCE)}; "
        f"veil by {VEIL_FORM} at {OBSERVER_AGE_YEARS:g} years, the eye's own gaze",
        f"discomfort rating: {_source(DE_BOER_SOURCE)}",
    )


def _form(form: VeilForm) -> str:
    return f"{form.name}, {form.span}: {_source(form.source)}"


def _source(source: Source) -> str:
    return f"{source} ({source.status})"
