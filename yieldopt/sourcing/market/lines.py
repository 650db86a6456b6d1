"""Which price line suits which part: cost of a finished square foot and yield by line, from quick layouts of drawn boards."""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Mapping, Sequence
from dataclasses import dataclass, field, replace
from fractions import Fraction
from typing import Literal

from yieldopt.luck.bill import bundle_rest
from yieldopt.luck.chance import mean_and_error
from yieldopt.luck.drawing_boards import Drawn, draw_board, draw_fitting
from yieldopt.luck.surprises import flaw_factor
from yieldopt.sizes.sizing import end_trim
from yieldopt.sourcing.lay.classes import is_thick
from yieldopt.sourcing.lay.quick import Laid, Opened, after, finished_area, lay_out, stream
from yieldopt.sourcing.lay.wants import Want, layers_from, line_makes
from yieldopt.wood.lumber import Board, PriceLine, Shop

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
    # Flaws a square foot that planing uncovers in 4/4 No. 1 Common beyond those seen: see `surprises`.
    hidden: float
    stress: str = "unknown"
    # By species: the shop's own hidden flaws over those expected.
    own: Mapping[str, float] = field(default_factory=dict)

    def hidden_rate(self, species: str, grade: str, nominal: Fraction) -> float:
        """Hidden flaws a square foot of a board."""
        return self.hidden * self.own.get(species, 1.0) * flaw_factor(species, grade, nominal)

    def without_surprises(self) -> Market:
        """The same boards, none with a flaw that only planing uncovers."""
        return replace(self, hidden=0.0)

    def draw(self, line: int, draw: int, number: int) -> Drawn:
        """Board `number` of a line in a draw; the same whatever else is drawn."""
        some, hidden = self.lines[line], self._hidden(line)
        return draw_board(some, f"{self.seed}/{draw}", f"buy{line + 1}-{number + 1}", hidden, self.stress)

    def _hidden(self, line: int) -> float:
        return self.hidden * self.own.get(self.lines[line].species, 1.0)

    def fitting(self, line: int, draw: int, wants: Sequence[Want], left: Mapping[Want, float] | None = None) -> Iterator[Drawn]:
        """Boards of a line one after another that are thick, flat, wide and long enough for some want: a tape shows that at
        the dealer's, whatever their flaws. `MOST_BOARDS` are looked at; wants of which `left` has none count no more."""
        def fits(b: Board) -> bool:
            return any(
                w.length <= b.length - 2 * end_trim(b.nominal, self.shop) and w.width <= b.width and layers_from(w, b, self.shop)
                for w in wants
                if left is None or left[w]
            )

        for n in range(MOST_BOARDS):
            if left is not None and not any(left[w] for w in wants):
                return
            name = f"buy{line + 1}-{n + 1}"
            drawn = draw_fitting(self.lines[line], f"{self.seed}/{draw}", name, self._hidden(line), self.stress, fits)
            if drawn is not None:
                yield replace(drawn, looked_at=n + 1)

    def bought(self, line: int, draw: int, wants: Sequence[Want], opened: bool = False) -> tuple[list[tuple[Drawn, Laid]], bool]:
        """Boards of a line taken one after another till the wants are met, and whether they were; `opened`: with what the
        hidden flaws spoil made again."""
        drawn: list[Drawn] = []

        def boards() -> Iterator[Opened]:
            for some in self.fitting(line, draw, wants):
                drawn.append(some)
                yield some.board, some.hidden if opened else ()

        laid, left = stream(wants, boards(), self.shop)
        return list(zip(drawn, laid, strict=False)), not any(left)

    def bought_for(
        self, wants: Sequence[Want], line_of: Mapping[str, int], draw: int, opened: bool = False
    ) -> Iterator[tuple[int, list[tuple[Drawn, Laid]], bool]]:
        """For each line, the thickest first: its boards, taken till what it is to make is made, and whether it was.

        What else a board of the species has room for is made of it as well, and not of its own line later.
        """
        mine = by_line(wants, line_of)
        left: dict[Want, float] = {w: w.qty * w.layers for some in mine.values() for w in some}
        for line in sorted(mine, key=lambda k: (-self.lines[k].nominal, k)):
            own = [w for w in mine[line] if left[w]]
            others = [w for w in left if left[w] and w not in own and w.species == self.lines[line].species]
            got, met = self._filled(line, draw, own, others, left, opened)
            yield line, got, met

    def _filled(
        self, line: int, draw: int, own: Sequence[Want], others: Sequence[Want], left: dict[Want, float], opened: bool
    ) -> tuple[list[tuple[Drawn, Laid]], bool]:
        every = [*own, *others]
        taken: list[tuple[Drawn, Laid]] = []
        for drawn in self.fitting(line, draw, own, left):
            if not any(left[w] for w in own):
                break
            laid = lay_out(every, [left[w] for w in every], drawn.board, drawn.hidden if opened else (), self.shop)
            taken.append((drawn, laid))
            left.update(zip(every, after([left[w] for w in every], laid.copies), strict=True))
        return taken, not any(left[w] for w in own)


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
            some = [w for w in wants if w.thickness == thickness and line_makes(w, line, market.shop, market.stress)]
            if some:
                figure = _figure(market, k, thickness, some, draws)
                if figure is not None:
                    found.append(figure)
    return found


# A buyer picks boards, but finds no more than this share of a stack to his purpose for nothing. Inference, no source.
PICKED = 1 / 3


def rarity(looked: float, taken: float) -> float:
    """How much dearer rare boards count: a third of how many are looked at for each one taken, at least once their price."""
    return max(1.0, PICKED * looked / taken) if taken else 1.0


def _figure(market: Market, line: int, thickness: Fraction, wants: Sequence[Want], draws: int) -> LineFigure | None:
    """Boards that give nothing are left at the dealer's; where more than two are looked at for each one taken, the line costs
    as much more: boards so rare are none to count on."""
    costs, parts_area, boards_area = [], 0.0, 0.0
    area = float(finished_area(wants))
    for d in range(draws):
        got, met = market.bought(line, d, wants)
        if not met:
            continue
        used = [(drawn, laid) for drawn, laid in got if laid.stacks]
        rare = rarity(got[-1][0].looked_at, len(used))
        rest, back = bundle_rest(market.lines[line], sum(float(drawn.bill.board_feet) for drawn, _ in used), market.shop)
        costs.append((rare * sum(laid.net_cost for _, laid in used) + rest - back) / area)
        parts_area += area
        boards_area += sum(float(drawn.board.area) for drawn, _ in used) / 144
    if not costs:
        return None
    mean, error = mean_and_error(costs)
    return LineFigure(line, thickness, tuple(sorted({w.part for w in wants})), mean, error, parts_area / boards_area)


# What is liked: stock that gives one layer, 8/4 that gives several, or any stock that gives several.
Liking = Literal["thin", "thick", "layers"]


def best_lines(wants: Sequence[Want], figures: Sequence[LineFigure], market: Market, liking: Liking) -> dict[str, int]:
    """The cheapest of the liked lines for each part; of all lines where none that is liked can make it.

    Where no part at all comes out of 8/4 in several layers, "thick" takes 8/4 for one layer, so that the ways can be
    compared all the same. Parts that no line can make are left out.
    """

    def layers(w: Want, line: int) -> int:
        return line_makes(w, market.lines[line], market.shop, market.stress)

    def liked(w: Want, f: LineFigure, least: int) -> bool:
        nominal = market.lines[f.line].nominal
        if liking == "thin":
            return not is_thick(nominal) and w.layers == 1
        return (is_thick(nominal) or liking == "layers") and layers(w, f.line) >= least

    able = {w: [f for f in figures if f.thickness == w.thickness and w.part in f.parts] for w in wants}
    several = 2 if any(liked(w, f, 2) for w, some in able.items() for f in some if w.layers == 1) else 1
    chosen: dict[str, int] = {}
    for together in _homes(wants):
        pools = [{f.line: f for f in [f for f in able[w] if liked(w, f, several)] or able[w]} for w in together]
        common = set.intersection(*map(set, pools)) or set.intersection(*({f.line for f in able[w]} for w in together))
        if common:
            cost = {f.line: 0.0 for w in together for f in able[w]}
            for w in together:
                for f in able[w]:
                    cost[f.line] += f.cost * float(w.area)
            best = min(common, key=lambda k: (cost[k], k))
            chosen.update((w.part, best) for w in together)
    return chosen


def _homes(wants: Sequence[Want]) -> list[list[Want]]:
    """Wants that have to come from one line: those of a group that one board must give; else each for itself."""
    found: dict[object, list[Want]] = {}
    for w in wants:
        found.setdefault(w.home or w, []).append(w)
    return list(found.values())


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
        thick = is_thick(market.lines[line].nominal)
        able = [
            k
            for k in sorted({after[p] for p in parts} - {line})
            if is_thick(market.lines[k].nominal) == thick
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
