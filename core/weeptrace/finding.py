"""What any engine of the core may say: how large with which interval, or why not at all."""

from __future__ import annotations

from dataclasses import dataclass, field

from weeptrace.told import Figures, plain


@dataclass(frozen=True)
class Estimate:
    """A value with its two-sided 95 % interval."""

    value: float
    low: float
    high: float


@dataclass(frozen=True)
class Reason:
    """Why something is not judged, or must stop: a code for programs, a sentence for people.

    ``text``: the id of the sentence, with the ``figures`` that it names, as ``told`` says.
    """

    code: str
    text: str
    figures: Figures = field(default_factory=dict, hash=False)

    @property
    def message(self) -> str:
        """The sentence in the usual SI units."""
        return plain(self)
