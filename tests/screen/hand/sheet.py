"""The record as a file, as lines of text; which of them a hand writes stands in ``record.py``."""

from __future__ import annotations

from html.parser import HTMLParser

from tests.screen.hand.page import NBSP
from tests.screen.hand.told import TEXTS

_ROWS = ("tr", "li", "p", "h2", "figcaption", "text", "footer")


class Sheet(HTMLParser):
    """Each row of a table, line of a list, paragraph, heading and word of a drawing, in order."""

    def __init__(self, html: str) -> None:
        super().__init__(convert_charrefs=True)
        self.lines: list[str] = []
        self._open: list[str] = []
        self._cells: list[str] = []
        self._of: list[str] = []
        self.feed(html)
        self.close()

    def handle_starttag(self, tag: str, attrs: list[tuple[str, str | None]]) -> None:
        self._of.append(dict(attrs).get("class") or "" if tag in ("svg", "section", "ol") else "")
        if tag in ("meta", "img"):
            self._of.pop()
            return
        self._open.append(tag)
        if tag in _ROWS:
            self._cells = []
        if tag in ("th", "td"):
            self._cells.append("")
        said = dict(attrs).get("aria-label")
        if tag == "svg" and said:
            self._add(said)

    def handle_endtag(self, tag: str) -> None:
        if tag in _ROWS:
            self._add(" | ".join(cell.strip() for cell in self._cells))
            self._cells = []
        self._open.pop()
        self._of.pop()

    def handle_startendtag(self, tag: str, attrs: list[tuple[str, str | None]]) -> None:
        pass

    def handle_data(self, data: str) -> None:
        if set(self._open) & set(_ROWS):
            self._cells = self._cells or [""]
            self._cells[-1] += data

    def _add(self, text: str) -> None:
        place = next((each for each in reversed(self._of) if each), "sheet")
        plain = text.replace(NBSP, " ")
        if plain not in TEXTS:
            self.lines.append(f"{place}: {plain}")
