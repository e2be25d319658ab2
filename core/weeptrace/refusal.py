"""Bad input, said so that the reader can mend it."""

from __future__ import annotations


class Refusal(ValueError):  # noqa: N818 - the trade's word: the input is refused, the program is well
    """Input that is refused, with words that help.

    Parameters
    ----------
    code: a short word for programs, such as ``out_of_range``.
    message: what was wrong and what to do, in one or two sentences.
    path: where in the input it stands, such as ``readings[3].pressure``; "" for the whole.
    accepted: the accepted range with its unit, or the accepted words; "" where there is none.
    """

    def __init__(self, code: str, message: str, path: str = "", accepted: str = "") -> None:
        super().__init__(message)
        self.code = code
        self.message = message
        self.path = path
        self.accepted = accepted

    def as_dict(self) -> dict[str, str]:
        """The error as the door gives it out."""
        return {
            "code": self.code,
            "message": self.message,
            "path": self.path,
            "accepted": self.accepted,
        }
