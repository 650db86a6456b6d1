"""What is asked for by number or name and is not there, told apart from a fault of the program."""

from __future__ import annotations

from collections.abc import Sequence
from typing import TypeVar

from yieldopt.ground.errors import YieldoptError

T = TypeVar("T")


class NothingHere(YieldoptError):
    """There is nothing of this number or name, or it is gone."""

    def __init__(self) -> None:
        super().__init__("there is nothing here")


def at(things: Sequence[T], number: int) -> T:
    """The thing of this number, from 0. Raises `NothingHere`."""
    if not 0 <= number < len(things):
        raise NothingHere
    return things[number]
