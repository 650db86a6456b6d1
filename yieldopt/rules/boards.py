"""May a part come from a board? By species, by how the wood was sawn, and by the boards that the parts list names."""

from __future__ import annotations

from collections.abc import Collection
from typing import Literal, Protocol

from yieldopt.wood.lumber import Board

Hindrance = Literal["species", "from", "sawn"]


class Wood(Protocol):
    """What is asked of the wood."""

    @property
    def species(self) -> str: ...
    @property
    def sawn(self) -> str: ...


class Sourced(Wood, Protocol):
    """`sources` are the boards it may come from; empty: any."""

    @property
    def sources(self) -> Collection[str]: ...


def right_wood(asks: Wood, board: Board) -> bool:
    """Is the board of the species, and sawn as asked? One whose sawing is not known satisfies only `any`."""
    return asks.species == board.species and asks.sawn in ("any", board.sawn)


def hindrance(asks: Sourced, board: Board) -> Hindrance | None:
    """What keeps the part from coming from this board; None where it may."""
    if asks.species != board.species:
        return "species"
    if asks.sources and board.name not in asks.sources:
        return "from"
    return None if right_wood(asks, board) else "sawn"


def may_come_from(asks: Sourced, board: Board) -> bool:
    """Species, sawing and the maker's own choice of boards."""
    return hindrance(asks, board) is None
