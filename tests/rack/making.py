"""Boards for the rack's tests, plain ones and whole strategies. Invented data."""

from __future__ import annotations

import io
import uuid
from fractions import Fraction as F
from typing import Any

from hypothesis import strategies as st
from strategies import boards, lengths, names

from yieldopt.rack.board.record import Origin, Photo, RackBoard, ThicknessPoint
from yieldopt.rack.books.photos import look_at
from yieldopt.wood.lumber import Board, Defect

_MOST_REMARKS = 200


def plain(name: str = "A1", species: str = "ash", length: int | F = 96, width: int | F = 8, **more: Any) -> Board:
    """A rectangular 4/4 board without defects."""
    return Board(name, species, "4/4", F(1), F(length), F(width), F(1), **more)


def entry(name: str = "A1", **more: Any) -> RackBoard:
    """A record of a plain board; `more` goes to the record, but for what belongs to the board."""
    of_board = {
        k: more.pop(k)
        for k in ("species", "length", "width", "defects", "cost", "price_bf", "edges", "crook", "bow", "stress")
        if k in more
    }
    return RackBoard(str(uuid.uuid4()), plain(name, **of_board), **more)


KNOT = Defect("knot", "A", F(15), F(2), F(1), F(1, 2))


def picture(colour: int = 0, kind: str = "JPEG") -> bytes:
    """A small true photo file."""
    from PIL import Image

    out = io.BytesIO()
    Image.new("RGB", (40, 30), (colour, 90, 160)).save(out, kind)
    return out.getvalue()


def photo(name: str = "front.jpg", colour: int = 0) -> Photo:
    return look_at(name, picture(colour))


def texts() -> st.SearchStrategy[str]:
    """Texts as the bookkeeping fields take them: stripped, printable, any script."""
    return st.just("") | names()


@st.composite
def records(draw: st.DrawFn, name: str | None = None, units: str = "in") -> RackBoard:
    """A record with everything a rack can hold."""
    board = draw(boards(draw(names()) if name is None else name, units))
    points = draw(st.lists(st.tuples(lengths(units, 0, float(board.length)), lengths(units, 0.5, 3)), max_size=3))
    points = [(min(x, board.length), max(t, board.thickness)) for x, t in points]
    readings = draw(st.lists(st.fractions(0, 60, max_denominator=20), max_size=3))
    origin = None
    if draw(st.booleans()):
        origin = Origin(
            str(uuid.UUID(int=draw(st.integers(0, 2**128 - 1)))),
            draw(lengths(units, 0, 40)),
            draw(lengths(units, 0, 4)),
            1,
            draw(st.integers(1, 3)),
        )
    remarks = draw(st.just("") | st.lists(names(), max_size=3).map("\n".join).map(str.strip))
    if points and board.thickness == board.nominal:
        # Read back, an empty thickness takes the thinnest point's.
        points.append((F(0), board.thickness))
    return RackBoard(
        str(uuid.UUID(int=draw(st.integers(0, 2**128 - 1)), version=4)),
        board,
        "on rack",
        draw(texts()),
        draw(texts()),
        draw(texts()),
        remarks,
        tuple(readings),
        tuple(ThicknessPoint(x, t) for x, t in points),
        (),
        origin,
    )
