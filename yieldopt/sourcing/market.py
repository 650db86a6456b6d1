"""Which price line suits which part: cost of a finished square foot and yield by line, from quick layouts of drawn boards."""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Mapping, Sequence
from dataclasses import dataclass
from fractions import Fraction

from yieldopt.lumber import Board, PriceLine, Shop
from yieldopt.sourcing.chance import mean_and_error
from yieldopt.sourcing.drawing_boards import Drawn, draw_board
from yieldopt.sourcing.quick import Laid, finished_area, stream
from yieldopt.sourcing.wants import Want, line_makes

# The thick stock that resawing is asked about: two inches nominal, 8/4.
THICK = Fraction(2)
# More boards of one line than this are no purchase for a small shop; a stream that needs more counts as running short.
MOST_BOARDS = 80
# Draws for choosing lines; only the choice rests on them.
CHOOSING = 5


@dataclass(frozen=True)
class Market:
    """The price lines, and how boards are drawn from them."""

    lines: tuple[PriceLine, ...]
    shop: Shop
    seed: int
    # Flaws a square foot that planing uncovers beyond those seen.
    hidden: float
    stress: str = "unknown"

    def draw(self, line: int, draw: int, number: int) -> Drawn:
        """Board `number` of a line in a draw; the same whatever else is drawn."""
        return draw_board(self.lines[line], f"{self.seed}/{draw}", f"buy{line + 1}-{number + 1}", self.hidden, self.stress)

    def bought(self, line: int, draw: int, wants: Sequence[Want]) -> tuple[list[tuple[Drawn, Laid]], bool]:
        """Boards of a line taken one after another till the wants are met, and whether they were."""
        drawn: list[Drawn] = []

        def boards() -> Iterator[Board]:
            for n in range(MOST_BOARDS):
                drawn.append(self.draw(line, draw, n))
                yield drawn[-1].board

        laid, left = stream(wants, boards(), self.shop)
        return list(zip(drawn, laid, strict=False)), not any(left)


@dataclass(frozen=True)
class LineFigure:
    """What one line costs for the parts of one species and thickness that it can make."""

    line: int
    thickness: Fraction
    parts: tuple[str, ...]
    # Net cost of a square foot of parts as rough-cut, and its standard error.
    cost: float
    error: float | None
    # Face area of parts over face area of boards; above 1 where boards are resawn.
    clear_yield: float


def line_figures(market: Market, wants: Sequence[Want], draws: int = CHOOSING) -> list[LineFigure]:
    """Figures of every line for every thickness of part it can make."""
    found = []
    for k, line in enumerate(market.lines):
        for thickness in sorted({w.thickness for w in wants if w.species == line.species}):
            some = [w for w in wants if w.thickness == thickness and line_makes(w, line, market.shop)]
            if some:
                figure = _figure(market, k, thickness, some, draws)
                if figure is not None:
                    found.append(figure)
    return found


def _figure(market: Market, line: int, thickness: Fraction, wants: Sequence[Want], draws: int) -> LineFigure | None:
    costs, parts_area, boards_area = [], 0.0, 0.0
    area = float(finished_area(wants))
    for d in range(draws):
        got, met = market.bought(line, d, wants)
        if not met:
            continue
        costs.append(sum(laid.net_cost for _, laid in got) / area)
        parts_area += area
        boards_area += sum(float(drawn.board.area) for drawn, _ in got) / 144
    if not costs:
        return None
    mean, error = mean_and_error(costs)
    return LineFigure(line, thickness, tuple(sorted({w.part for w in wants})), mean, error, parts_area / boards_area)


def best_lines(wants: Iterable[Want], figures: Sequence[LineFigure], market: Market, thick_first: bool) -> dict[str, int]:
    """The cheapest line for each part: from thin stock where it can, or, with `thick_first`, from 8/4 where it can.

    Parts that no line can make are left out.
    """
    chosen: dict[str, int] = {}
    for w in wants:
        able = [f for f in figures if f.thickness == w.thickness and w.part in f.parts]
        liked = [f for f in able if (market.lines[f.line].nominal == THICK) == thick_first and (thick_first or _one_layer(w))]
        pool = liked or able
        if pool:
            chosen[w.part] = min(pool, key=lambda f: (f.cost, f.line)).line
    return chosen


def _one_layer(want: Want) -> bool:
    return want.layers == 1


# A part goes to a line that others use anyway where its own best line is not this much cheaper: each line more leaves a board
# begun, and one more thing that can run short. Inference, no source.
WORTH_A_LINE = 1.3


def fewer_lines(
    chosen: Mapping[str, int], wants: Iterable[Want], figures: Sequence[LineFigure], market: Market
) -> dict[str, int]:
    """The same choice with parts moved to lines in use already, thin to thin and thick to thick, where that costs little."""
    cost = {(f.line, part): f.cost for f in figures for part in f.parts}
    after = dict(chosen)
    parts = [w.part for w in wants if w.part in after]
    for line in sorted(set(after.values()), key=lambda k: (sum(after[p] == k for p in parts), k)):
        mine = [p for p in parts if after[p] == line]
        thick = market.lines[line].nominal == THICK
        able = [
            k
            for k in sorted({after[p] for p in parts} - {line})
            if (market.lines[k].nominal == THICK) == thick
            and all((k, p) in cost and cost[k, p] <= WORTH_A_LINE * cost[line, p] for p in mine)
        ]
        if able:
            best = min((sum(cost[k, p] for p in mine), k) for k in able)[1]
            after.update(dict.fromkeys(mine, best))
    return after


def by_line(wants: Iterable[Want], line_of: Mapping[str, int]) -> dict[int, list[Want]]:
    """The wants that each line is to make."""
    found: dict[int, list[Want]] = {}
    for w in wants:
        if w.part in line_of:
            found.setdefault(line_of[w.part], []).append(w)
    return found
