"""Decimal commas: `7,5` for 7.5, where it can't be a comma between thousands."""

from __future__ import annotations

import re
from collections.abc import Mapping

from yieldopt.ground.errors import Problem, remark

_COMMA = re.compile(r"(?<=\d),(?=\d)")
# One comma that parts no thousands: not three figures behind it, or nothing but a 0 before it.
_DECIMAL = re.compile(r"(?<![\d.,])(?:0,\d+|\d+,(?:\d{1,2}|\d{4,}))(?![\d,.])")
_POINT = re.compile(r"\d\.\d")

# (row, column) -> the text of a cell that holds a figure.
Figures = Mapping[tuple[int, str], str]


def with_points(file: str, figures: Figures, problems: list[Problem]) -> dict[tuple[int, str], str]:
    """The cells whose decimal commas became points. Where some cells show that commas are decimal and none has a point, all of
    them are; a cell such as `1,200` that could be either is a mistake then only where nothing tells."""
    commas = {place: text for place, text in figures.items() if _COMMA.search(text)}
    certain = {place for place, text in commas.items() if _DECIMAL.search(text) and not _POINT.search(text)}
    points = any(_POINT.search(text) for text in figures.values())
    found: dict[tuple[int, str], str] = {}
    for place, text in commas.items():
        point = _COMMA.sub(".", text)
        if place in certain or (certain and not points and text.count(",") == 1):
            found[place] = point
        elif text.count(",") == 1 and not _POINT.search(text):
            expected = f"{_COMMA.sub('', text)} or {point}: here a comma may separate thousands or decimals"
            problems.append(Problem(file, place[0], place[1], text, expected))
            found[place] = ""
    if certain:
        first = next(place for place in commas if place in certain)
        remark(problems, file, None, None, f"decimal commas: {commas[first]} (row {first[0]}, {first[1]}) read as {found[first]}")
    return found
