"""Jobs with a known solution that needs the whole rack: boards cut up by chance, their pieces the parts list. Invented data.

Boards are cut up as the planner lays them out: in sections between crosscuts, each ripped into strips that hold one piece or
two end to end; or ripped first, each strip then crosscut. What is left over is a sliver at most, or holds a defect.
"""

from __future__ import annotations

import random
from collections.abc import Sequence
from dataclasses import dataclass, field, replace
from fractions import Fraction as F

from yieldopt.wood.lumber import Board, Defect, Job, Part, Shop

MM = F(10, 254)
# A section, as (rough length, rough width, layers) of the pieces in each of its strips.
Piece = tuple[F, F, int]
Strips = list[list[Piece]]


@dataclass(frozen=True)
class Flavour:
    """How boards are cut up: the kinds of section they are made of, and what is left beside the pieces."""

    boards: tuple[int, int] = (2, 5)
    # Sections a board, and kinds of section in all (None: each another).
    sections: tuple[int, int] = (2, 4)
    kinds: int | None = None
    # Most that a strip's piece is shorter than its section, and a board wider than its strips.
    slack: F = F(0)
    rip: bool = False
    layers: bool = False
    defects: bool = False
    staves: bool = False
    step: F = F(1, 8)


FLAVOURS = {
    "exact": Flavour(),
    "exact-few": Flavour(boards=(3, 8), kinds=4),
    "slack": Flavour(slack=F(1, 2)),
    "slack-few": Flavour(boards=(3, 8), kinds=5, slack=F(3, 4)),
    "rip": Flavour(boards=(2, 4), rip=True),
    "layers": Flavour(boards=(2, 4), layers=True),
    "defects": Flavour(defects=True, slack=F(1, 4)),
    "staves": Flavour(staves=True),
    "fine": Flavour(step=F(1, 16), boards=(2, 3)),
    "mm": Flavour(step=MM, boards=(2, 3), slack=8 * MM),
    "large": Flavour(boards=(6, 8), sections=(2, 3)),
}


@dataclass
class _Cutter:
    flavour: Flavour
    rng: random.Random
    shop: Shop
    counts: dict[tuple[F, F, F], int] = field(default_factory=dict)
    panels: list[tuple[F, F, int]] = field(default_factory=list)

    def some(self, low: float, high: float) -> F:
        step = self.flavour.step
        return self.rng.randint(int(-(-F(low) // step)), int(F(high) // step)) * step

    def less(self, size: F) -> F:
        return size - (self.some(0, float(self.flavour.slack)) if self.flavour.slack else F(0))

    def shares(self, whole: F, kerf: F, least: F, most: F) -> list[F]:
        """Lengths that fill `whole` with a kerf between them, each of `least` at least and of about `most` at most."""
        out = []
        while whole > most + kerf + least:
            one = self.some(float(least), float(min(most, whole - kerf - least)))
            out.append(one)
            whole -= one + kerf
        return [*out, whole]

    def layers(self) -> int:
        return self.rng.choice([1, 2]) if self.flavour.layers else 1

    def section(self, width: F) -> tuple[F, Strips]:
        """Its length and its strips, which fill the width."""
        length = self.some(15, 34)
        strips: Strips = []
        for w in self.shares(width, self.shop.kerf.rip, F(3, 2), F(9, 2)):
            k = self.shop.kerf.crosscut
            if length > 29 + k and self.rng.random() < 0.5:
                first = self.some(14, float(length - k - 14))
                strips.append([(first, w, self.layers()), (length - k - first, w, self.layers())])
            else:
                strips.append([(self.less(length), w, self.layers())])
        return length, strips

    def sections(self, width: F, kinds: Sequence[tuple[F, Strips]]) -> list[tuple[F, Strips]]:
        many = self.rng.randint(*self.flavour.sections)
        return [self.rng.choice(kinds) if kinds else self.section(width) for _ in range(many)]

    def take(self, piece: Piece) -> None:
        length, width, layers = piece
        thick = F(3, 4) if layers > 1 or not self.flavour.layers else F(7, 4)
        key = (length, width, thick)
        self.counts[key] = self.counts.get(key, 0) + layers

    def board(self, n: int, width: F, kinds: Sequence[tuple[F, Strips]]) -> Board:
        end, k = self.shop.allowances.board_end, self.shop.kerf.crosscut
        x, defects = end, []
        if self.flavour.rip:
            x += self.some(50, 80)
            for w in self.shares(width, self.shop.kerf.rip, F(3, 2), F(9, 2)):
                for length in self.shares(x - end, k, F(14), F(34)):
                    self.take((length, w, 1))
            x += k
        else:
            for length, strips in self.sections(width, kinds):
                if self.flavour.defects and self.rng.random() < 0.5:
                    d = self.some(1, 3)
                    clear = self.shop.allowances.defect_along
                    y = self.some(0, float(width) - 2)
                    defects.append(Defect(self.rng.choice(["knot", "check", "bark"]), "both", x + clear, y, d, F(1)))
                    x += d + 2 * clear
                if self.flavour.staves and self.rng.random() < 0.4:
                    self.panel(length, width)
                else:
                    for piece in (p for s in strips for p in s):
                        self.take(piece)
                x += length + k
        more = self.some(0, float(self.flavour.slack)) if self.flavour.slack else F(0)
        quarters = 8 if self.flavour.layers else 4
        nominal = F(quarters, 4)
        return Board(f"B{n}", "oak", f"{quarters}/4", nominal, x - k + end + more, width + more, nominal, "", "tested",
                     F(0), F(0), F(0), F(0), price_bf=F(6), defects=tuple(defects))  # fmt: skip

    def panel(self, length: F, width: F) -> None:
        """A section in equal staves, all of them one glued panel."""
        k, edge = self.shop.kerf.rip, self.shop.allowances.edge
        many = int((width + k) // (F(7, 2) + k)) + 1
        net = ((width + k) / many - k - 2 * edge) // F(1, 8) * F(1, 8)
        self.panels.append((length, net, many))

    def parts(self) -> list[Part]:
        a = self.shop.allowances
        out = [
            Part(f"P{n}", qty, "oak", thick, width - 2 * a.edge, length - 2 * a.end)
            for n, ((length, width, thick), qty) in enumerate(sorted(self.counts.items()))
        ]
        out += [
            Part(f"panel {n}", 1, "oak", F(3, 4), many * net - 2 * a.edge, length - 2 * a.end, staves=(net, net + F(1, 4)))
            for n, (length, net, many) in enumerate(self.panels)
        ]
        return out


def tight_job(name: str, seed: int) -> Job:
    """A job of this flavour with parts enough for its boards, and not one more."""
    flavour = FLAVOURS[name]
    rng = random.Random(f"{name} {seed}")
    shop = Shop()
    cut = _Cutter(flavour, rng, shop)
    kinds: list[tuple[F, Strips]] = []
    shared = cut.some(6, 11)
    if flavour.kinds:
        kinds = [cut.section(shared) for _ in range(flavour.kinds)]
    boards = [cut.board(n, shared if kinds else cut.some(6, 11), kinds) for n in range(rng.randint(*flavour.boards))]
    return Job(f"{name} {seed}", "in", tuple(cut.parts()), tuple(boards), shop=shop)


def mirrored(job: Job) -> Job:
    """The same with its parts in another order, so that nothing hangs on how they are listed."""
    return replace(job, parts=tuple(reversed(job.parts)))
