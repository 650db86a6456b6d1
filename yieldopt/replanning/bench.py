"""One board of the plan as it lies on the bench: which cuts are made, which blanks are begun."""

from __future__ import annotations

from collections.abc import Iterable, Mapping
from dataclasses import replace
from functools import cached_property
from typing import Any

from yieldopt.replanning.wood import Wood, around, holding, inside, saw, whole_board
from yieldopt.wood.lumber import Board
from yieldopt.wood.plan import Blank, BoardPlan, Offcut, Piece, Spoiled


class Bench:
    """A board and its part of the plan, with what follows from replaying the cuts. Changes nothing."""

    def __init__(self, board: Board, plan: BoardPlan) -> None:
        self.board, self.plan = board, plan
        # What was worked out of it before, by what was asked.
        self.answers: dict[object, Any] = {}
        rough = [c for c in plan.cuts if c.stage == "rough"]
        self.leaves, self.needs = saw(whole_board(board), rough)
        self.blanks = {b.blank: b for b in plan.blanks}
        self._layers: dict[tuple[str, int], list[Wood]] = {}
        for blank in plan.blanks:
            self._inner(blank)

    def _inner(self, blank: Blank) -> None:
        freeing = set(self.freeing(blank))
        resaws = {c.order for c in self.plan.cuts if c.blank == blank.blank and c.stage == "resaw"}
        for order in resaws:
            self.needs.setdefault(order, set()).update(freeing)
        for layer in range(1, blank.layers + 1):
            mine = [c for c in self.plan.cuts if c.blank == blank.blank and c.stage == "final" and c.layer in (None, layer)]
            left, needs = saw(around(blank), mine)
            self._layers[blank.blank, layer] = left
            for order, before in needs.items():
                self.needs.setdefault(order, set()).update(before | freeing | resaws)

    def freeing(self, thing: Blank | Offcut | Spoiled) -> tuple[int, ...]:
        """Orders of the rough cuts after which it lies alone."""
        wood = holding(self.leaves, thing)
        return wood.cuts if wood else ()

    def freeing_piece(self, piece: Piece) -> set[int]:
        """Orders of all the cuts that free one piece: rough, resaw, final."""
        if piece.blank not in self.blanks:
            return set()
        orders = set(self.freeing(self.blanks[piece.blank]))
        orders |= {c.order for c in self.plan.cuts if c.blank == piece.blank and c.stage == "resaw"}
        wood = holding(self._layers[piece.blank, piece.layer], piece)
        return orders | set(wood.cuts if wood else ())

    def closed(self, orders: Iterable[int]) -> set[int]:
        """These cuts and all that had to be made before them."""
        found: set[int] = set()
        open_orders = list(orders)
        while open_orders:
            order = open_orders.pop()
            if order not in found:
                found.add(order)
                open_orders += self.needs.get(order, ())
        return found

    def with_cuts_done(self, orders: Iterable[int]) -> BoardPlan:
        """The board's plan with these cuts, and all they need, marked as made."""
        done = self.closed(orders) | self.made
        return replace(self.plan, cuts=tuple(replace(c, state="done") if c.order in done else c for c in self.plan.cuts))

    @cached_property
    def names(self) -> frozenset[str]:
        """Its pieces."""
        return frozenset(p.piece for p in self.plan.pieces)

    @cached_property
    def made(self) -> set[int]:
        """Orders of the cuts that are made."""
        return {c.order for c in self.plan.cuts if c.state == "done"}

    @cached_property
    def begun(self) -> frozenset[str]:
        """Blanks with a cut made inside them, a finished piece or a spoiled one: these stay what they are."""
        names = {c.blank for c in self.plan.cuts if c.blank and c.state == "done"}
        names |= {p.blank for p in self.plan.pieces if p.state == "done"}
        names |= {b.blank for b in self.plan.blanks for s in self.plan.spoiled if s.layers == b.layers and inside(s, b)}
        return frozenset(n for n in names if n in self.blanks)

    @cached_property
    def touched(self) -> bool:
        """Is anything of it made already?"""
        return bool(self.made or self.begun or self.plan.spoiled)


class Benches:
    """Benches made so far: a board whose part of the plan is still the same object is not replayed again."""

    def __init__(self, known: Mapping[tuple[int, int], Bench] | None = None) -> None:
        # A bench holds its board and its part of the plan, so their identities are theirs as long as it is known.
        self._known = dict(known or {})

    def of(self, board: Board, plan: BoardPlan) -> Bench:
        key = (id(board), id(plan))
        if key not in self._known:
            self._known[key] = Bench(board, plan)
        return self._known[key]

    def apart(self) -> Benches:
        """Knows the same, and what it learns further is its own."""
        return Benches(self._known)
