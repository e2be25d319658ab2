"""Bad input, said so that the reader can mend it."""

from __future__ import annotations

from weeptrace.finding import Reason
from weeptrace.told import Figures, plain


class Refusal(ValueError):  # noqa: N818 - the trade's word: the input is refused, the program is well
    """Input that is refused, with words that help.

    Parameters
    ----------
    code: a short word for programs, such as ``out_of_range``.
    words: what was wrong and what to do, in one or two sentences; figures as ``told`` says.
    path: where in the input it stands, such as ``readings[3].pressure``; "" for the whole.
    accepted: the accepted range with its unit, or the accepted words; "" where there is none.
    figures: in SI, those that the words and the range name.
    """

    def __init__(
        self,
        code: str,
        words: str,
        path: str = "",
        accepted: str = "",
        figures: Figures | None = None,
    ) -> None:
        self.code = code
        self.words = words
        self.figures: Figures = figures or {}
        self.path = path
        self._accepted = accepted
        super().__init__(self.message)

    @property
    def message(self) -> str:
        """The words in the usual SI units."""
        return plain(self)

    @property
    def accepted(self) -> str:
        """The accepted range in the usual SI units."""
        return plain(Reason(self.code, self._accepted, self.figures))

    def at(self, path: str) -> Refusal:
        """The same, standing at another place of the input."""
        return Refusal(self.code, self.words, path, self._accepted, self.figures)

    def as_dict(self) -> dict[str, str]:
        """The error as the door gives it out."""
        return {
            "code": self.code,
            "message": self.message,
            "path": self.path,
            "accepted": self.accepted,
        }
