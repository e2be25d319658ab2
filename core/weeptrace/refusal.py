"""Bad input, said so that the reader can mend it."""

from __future__ import annotations

from typing import Any

from weeptrace.finding import Reason
from weeptrace.told import Figures, given_out, plain


class Refusal(ValueError):  # noqa: N818 - the trade's word: the input is refused, the program is well
    """Input that is refused, with words that help.

    Parameters
    ----------
    code: a short word for programs, such as ``out_of_range``.
    text: the id of the sentences that tell what was wrong and what to do, such as
        ``refused.hold.same_time``.
    path: where in the input it stands, such as ``readings[3].pressure``; "" for the whole.
    accepted: the id of the words that tell the accepted range with its unit, or what is accepted;
        "" where there is none.
    figures: what both name, as ``told`` says.
    """

    def __init__(
        self,
        code: str,
        text: str,
        path: str = "",
        accepted: str = "",
        figures: Figures | None = None,
    ) -> None:
        self.code = code
        self.text = text
        self.figures: Figures = figures or {}
        self.path = path
        self.range = Reason(code, accepted, self.figures)
        super().__init__(code, text)

    def __str__(self) -> str:
        return self.message

    @property
    def message(self) -> str:
        """The sentences in the usual SI units."""
        return plain(self)

    @property
    def accepted(self) -> str:
        """What is accepted, in the usual SI units."""
        return plain(self.range)

    def at(self, path: str) -> Refusal:
        """The same, standing at another place of the input."""
        return Refusal(self.code, self.text, path, self.range.text, self.figures)

    def as_dict(self) -> dict[str, Any]:
        """The error as the door gives it out: ``figures`` are those of both sentences, as
        ``told.given_out`` says."""
        return {
            "code": self.code,
            "message": self.message,
            "path": self.path,
            "accepted": self.accepted,
            "text": self.text,
            "figures": given_out(self.figures),
        }
