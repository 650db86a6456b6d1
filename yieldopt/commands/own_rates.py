"""What surprises are to be expected: the options, and the shop's own bookings in a rack."""

from __future__ import annotations

from dataclasses import replace
from typing import TYPE_CHECKING

from yieldopt.ground.errors import UsageError

if TYPE_CHECKING:
    from yieldopt.luck.rates import Rates
    from yieldopt.rack.door.facade import Rack
    from yieldopt.wood.lumber import Board


def rates_of(hidden: float | None, spoiled: float | None, where: str | None) -> Rates:
    """Raises `UsageError` for rates that no shop has."""
    from yieldopt.luck.rates import SPOILED, Rates
    from yieldopt.luck.surprises import HIDDEN

    hidden, spoiled = HIDDEN if hidden is None else hidden, SPOILED if spoiled is None else spoiled
    if not 0 <= hidden <= 5:
        raise UsageError(f"--hidden: found {hidden:g}, expected 0 to 5 flaws a square foot")
    if not 0 <= spoiled <= 0.5:
        raise UsageError(f"--spoil: found {spoiled:g}, expected a share from 0 to 0.5")
    return Rates(hidden, spoiled) if not where else _by_the_shop(hidden, spoiled, where)


def _by_the_shop(hidden: float, spoiled: float, where: str) -> Rates:
    from yieldopt.luck.rates import Rates
    from yieldopt.rack.door.facade import Rack

    with Rack.open(where, read_only=True) as rack:
        return Rates(hidden, spoiled, rack.spoiled_by_species()).after(opened_boards(rack))


def opened_boards(rack: Rack) -> list[tuple[Board, int]]:
    """Boards that the shop cut, and how much came to light in each."""
    return [(replace(r.board, notes={"grade": r.grade}), found) for r, found in rack.opened_boards()]
