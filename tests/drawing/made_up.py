"""Jobs with a plan made up together, for the drawing room: the layout is drawn at random first, the parts are whatever it
holds. Every plan passes the package's own check (a test insists), and they cover what a sheet has to show: outlines, rip
first, layers, pairs, runs, staves, gangs, kept offcuts, defects on either face, unplaced parts, hostile names.

Invented data throughout.
"""

from __future__ import annotations

import random
from dataclasses import dataclass, field, replace
from fractions import Fraction as F

from yieldopt.sizes.sizing import crook_loss, resaw_depths, stave_width_needed, thickness_need, warp_loss
from yieldopt.wood.lumber import DEFECT_KINDS, THROWN_KINDS, Board, Defect, EdgePoint, Job, Part, Shop
from yieldopt.wood.plan import Blank, BoardPlan, Cut, Offcut, Piece, Plan, Totals, Unplaced

NOMINAL = {"4/4": F(1), "5/4": F(5, 4), "6/4": F(3, 2), "8/4": F(2)}
HARMLESS = sorted(DEFECT_KINDS - THROWN_KINDS)
HOSTILE = [
    "<b>&amp;",
    "\"quoted\" 'name'",
    "ash 🌳 plank",
    "לוח אגוז 12",
    "لوح",
    "=1+1",
    "x" * 200,
    "a\u202eb\u200bc",
    "../../etc",
    "con",
    "long name " * 12,
    "é" * 30,
]
SHOP = Shop()
A, K, M = SHOP.allowances, SHOP.kerf, SHOP.machines


@dataclass(frozen=True)
class Kind:
    """What boards are like, and how they are cut up: ranges in inches, shares of one."""

    lengths: tuple[float, float] = (40, 150)
    widths: tuple[float, float] = (4, 13)
    quarters: tuple[str, ...] = tuple(NOMINAL)
    wandering: float = 0.3
    resawn: float = 0.5
    # Lengths of sections crosscut from a board, widths of strips ripped from those.
    sections: tuple[float, float] = (16, 50)
    strips: tuple[float, float] = (1.25, 7)


USUAL = Kind()
KINDS = {
    "many resaws": Kind(quarters=("8/4",), resawn=1.0, strips=(2, 5)),
    "many blanks": Kind(lengths=(120, 150), widths=(6, 9), sections=(14, 24), strips=(1.5, 3)),
    "tapered": Kind(wandering=1.0, lengths=(90, 150)),
    "sixteen feet long": Kind(lengths=(180, 192), widths=(6, 9), sections=(20, 60), strips=(2, 7)),
    "fourteen inches wide": Kind(widths=(13, 14), lengths=(96, 144), sections=(24, 60), strips=(2, 7)),
    "thick": Kind(quarters=("8/4",), lengths=(60, 120), resawn=0.7),
}


@dataclass
class Maker:
    """Builds one job and plan from a seed."""

    rng: random.Random
    hostile: bool = False
    kind: Kind = USUAL
    parts: list[Part] = field(default_factory=list)
    used: set[str] = field(default_factory=set)

    def name(self, plain: str) -> str:
        text = plain
        if self.hostile and self.rng.random() < 0.5:
            text = self.rng.choice(HOSTILE)
        text = text.strip()
        while text.casefold() in self.used:
            text = f"{text}{len(self.used)}"
        self.used.add(text.casefold())
        return text

    def sixteenths(self, low: float, high: float) -> F:
        return F(self.rng.randint(round(low * 16), max(round(low * 16), round(high * 16))), 16)

    def board(self, n: int) -> Board:
        r = self.rng
        quarters = r.choice(self.kind.quarters)
        length, width = self.sixteenths(*self.kind.lengths), self.sixteenths(*self.kind.widths)
        edges: tuple[EdgePoint, ...] = ()
        if r.random() < self.kind.wandering:
            xs = sorted({self.sixteenths(0, float(length)) for _ in range(r.randint(2, 5))})
            edges = tuple(EdgePoint(x, self.sixteenths(-0.5, 0.5), width - self.sixteenths(0, 1)) for x in xs)
        some = [F(0), F(0), F(1, 16), F(1, 8)]
        return Board(
            self.name(f"B{n}"),
            r.choice(["ash", "walnut"]),
            quarters,
            NOMINAL[quarters],
            length,
            width,
            NOMINAL[quarters] + F(1, 8),
            sawn=r.choice(["flat", "quarter", ""]),
            stress=r.choice(["tested", "unknown", "no resaw"]),
            bow=r.choice(some),
            cup=r.choice(some),
            crook=F(0) if edges else r.choice(some),
            twist=r.choice(some),
            price_bf=F(13, 2),
            datum_sound=r.random() < 0.3,
            far_sound=r.random() < 0.2,
            edges=edges,
        )


class Layout:
    """One board being cut up."""

    def __init__(self, maker: Maker, board: Board) -> None:
        self.m, self.b, self.rng = maker, board, maker.rng
        self.cuts: list[Cut] = []
        self.later: list[Cut] = []
        self.blanks: list[Blank] = []
        self.pieces: list[Piece] = []
        self.offcuts: list[Offcut] = []

    def cut(self, kind: str, at: F, start: F, end: F) -> None:
        self.cuts.append(Cut(0, "rough", kind, at, start, end, K.crosscut if kind == "crosscut" else K.rip))  # type: ignore[arg-type]

    def crosscut(self, at: F) -> None:
        ends = [self.b.channel(x, x) for x in (at, at + K.crosscut)]
        self.cut("crosscut", at, min(e[0] for e in ends), max(e[1] for e in ends))

    def crosscut_first(self) -> None:
        x = F(0)
        if not self.b.datum_sound:
            self.crosscut(A.board_end - K.crosscut)
            x = A.board_end
        last = self.b.length if self.b.far_sound else self.b.length - A.board_end
        rips: list[tuple[F, F]] = []
        while last - x >= 18:
            length = min(last - x, self.m.sixteenths(*self.m.kind.sections))
            if x + length < self.b.length:
                self.crosscut(x + length)
            rips.append((x, length))
            x += length + K.crosscut
        for x, length in rips:
            self.section(x, length)

    def rip_first(self) -> None:
        """Strips the whole length, each then crosscut on its own."""
        near, far = self.b.channel(F(0), self.b.length)
        y = near
        if self.b.edges:
            y = F(-(-near * 16 // 1), 16) + K.rip
            self.cut("rip", y - K.rip, F(0), self.b.length)
        far -= crook_loss(self.b, self.b.length)
        strips = []
        while far - y >= F(5, 2):
            width = min(self.m.sixteenths(2, 6), F(int((far - y) * 16), 16))
            if y + width < self.farthest(F(0), self.b.length):
                self.cut("rip", y + width, F(0), self.b.length)
            strips.append((y, width))
            y += width + K.rip
        for y, width in strips:
            x = F(0)
            if not self.b.datum_sound:
                self.cut("crosscut", A.board_end - K.crosscut, y, y + width)
                x = A.board_end
            last = self.b.length if self.b.far_sound else self.b.length - A.board_end
            while last - x >= 18:
                length = min(last - x, self.m.sixteenths(16, 50))
                if x + length < self.b.length:
                    self.cut("crosscut", x + length, y, y + width)
                self.blank(x, y, length, width)
                x += length + K.crosscut

    def section(self, x: F, length: F) -> None:
        near, far = self.b.channel(x, x + length)
        y = near
        if self.b.edges or self.b.crook:
            y = F(-(-near * 16 // 1), 16) + K.rip
            self.cut("rip", y - K.rip, x, x + length)
        far -= crook_loss(self.b, length)
        while far - y >= F(5, 4):
            room = F(int((far - y) * 16), 16)
            width = min(room, self.m.sixteenths(*self.m.kind.strips))
            if y + width < self.farthest(x, length):
                self.cut("rip", y + width, x, x + length)
            if not (self.rng.random() < 0.2 and self.keep(x, y, length, width)):
                self.blank(x, y, length, width)
            y += width + K.rip

    def farthest(self, x: F, length: F) -> F:
        """The far edge where it lies farthest out: beyond a strip that reaches less far there is wood to be parted off."""
        at = [x, x + length, *(p.x for p in self.b.outline if x < p.x < x + length)]
        return max(self.b.channel(v, v)[1] for v in at)

    def keep(self, x: F, y: F, length: F, width: F) -> bool:
        if length < SHOP.values.offcut_min_length or width < SHOP.values.offcut_min_width:
            return False
        self.offcuts.append(Offcut(self.m.name(f"{self.b.name[:12]}-o{len(self.offcuts) + 1}"), x, y, length, width))
        return True

    def blank(self, x: F, y: F, length: F, width: F) -> None:
        name = self.m.name(f"{self.b.name[:12]}-{chr(97 + len(self.blanks) % 26)}")
        tested = self.b.stress == "tested"
        have = self.b.thickness - warp_loss(self.b, length, width)
        wanted = self.rng.random() < self.m.kind.resawn and self.b.stress != "no resaw" and width <= M.resaw_height
        layers = self.rng.choice([2, 3]) if wanted else 1
        thick = F(0)
        while layers:
            fits = [
                t
                for t in (F(1, 4), F(3, 8), F(1, 2), F(5, 8), F(3, 4), F(1), F(3, 2))
                if thickness_need([t] * layers, tested, SHOP) <= have
            ]
            if fits:
                thick = fits[-1]
                break
            layers -= 1
        if not layers or length - 2 * A.end < 1 or width - 2 * A.edge < F(1, 2):
            return
        ways = ["book", "book"] if layers == 2 else ["slip"] if layers == 3 else ["lone", "gang", "run", "staves", "gap"]
        before = len(self.pieces)
        getattr(self, self.rng.choice(ways))(name, x, y, length, width, thick, layers)
        made = self.pieces[before:]
        if not made:
            return
        self.blanks.append(Blank(name, x, y, length, width, layers, (thick,) * layers, tuple(p.piece for p in made)))
        for depth in resaw_depths([thick] * layers, tested, SHOP):
            self.later.append(Cut(0, "resaw", "resaw", depth, x, x + length, K.resaw, name))

    def part(self, plain: str, length: F, width: F, thick: F, **more: object) -> Part:
        faces = self.rng.choice([0, 1, 2])
        made = Part(self.m.name(plain), 1, self.b.species, thick, width, length, faces, frozenset(HARMLESS), **more)  # type: ignore[arg-type]
        self.m.parts.append(made)
        return made

    def piece(
        self,
        part: Part,
        blank: str,
        x: F,
        y: F,
        length: F,
        width: F,
        layer: int = 1,
        layers: int = 1,
        number: str = "#1",
        **more: object,
    ) -> None:
        show = more.pop("show", "A" if part.faces else None)
        self.pieces.append(
            Piece(part.name + number, part.name, blank, x, y, length, width, layer, layers, part.thickness, show=show, **more)
        )  # type: ignore[arg-type]

    def lone(self, blank: str, x: F, y: F, length: F, width: F, thick: F, layers: int) -> None:
        part = self.part(
            self.rng.choice(["rail", "stile", "shelf", "runner", "apron"]), length - 2 * A.end, width - 2 * A.edge, thick
        )
        self.piece(part, blank, x, y, length, width)

    def gap(self, blank: str, x: F, y: F, length: F, width: F, thick: F, layers: int) -> None:
        """A piece shorter than its blank: a final crosscut parts the rest off."""
        part = self.part("batten", length - 2 * A.end - 2, width - 2 * A.edge, thick)
        self.piece(part, blank, x, y, length - 2, width)
        self.later.append(Cut(0, "final", "crosscut", x + length - 2, y, y + width, K.crosscut, blank, 1))

    def gang(self, blank: str, x: F, y: F, length: F, width: F, thick: F, layers: int) -> None:
        count = self.rng.randint(2, 5)
        each = F(int((length - (count - 1) * K.crosscut) / count * 16), 16)
        if each <= 2 * A.end + 1:
            return
        for i in range(count):
            at = x + i * (each + K.crosscut)
            part = self.part("drawer side", each - 2 * A.end, width - 2 * A.edge, thick)
            self.piece(part, blank, at, y, each, width)
            if at + each < x + length:
                self.later.append(Cut(0, "final", "crosscut", at + each, y, y + width, K.crosscut, blank, 1))

    def run(self, blank: str, x: F, y: F, length: F, width: F, thick: F, layers: int) -> None:
        first = self.m.sixteenths(6, float(length) - 6)
        second = length - first - K.crosscut
        group = self.m.name("fronts")
        for at, rough in ((x, first), (x + first + K.crosscut, second)):
            part = self.part("front", rough - A.end - A.run_end, width - 2 * A.edge, thick, match=group, match_kind="run")
            self.piece(part, blank, at, y, rough, width, set=group)
        self.later.append(Cut(0, "final", "crosscut", x + first, y, y + width, K.crosscut, blank, 1))

    def staves(self, blank: str, x: F, y: F, length: F, width: F, thick: F, layers: int) -> None:
        """A glue-up of two staves ripped from one blank."""
        half = F(int((width - K.rip) / 2 * 16), 16)
        net = half - 2 * A.edge
        if net < F(1, 2):
            return
        part = self.part("top", length - 2 * A.end, 2 * net - 2 * A.edge, thick, staves=(F(1, 2), F(8)))
        assert stave_width_needed(part, SHOP) == 2 * net
        for j, at in ((1, y), (2, y + half + K.rip)):
            self.piece(part, blank, x, at, length, half, number=f"#1/{j}", set=part.name, stave=j)
        self.later.append(Cut(0, "final", "rip", y + half, x, x + length, K.rip, blank, 1))
        if y + 2 * half + K.rip < y + width:
            self.later.append(Cut(0, "final", "rip", y + 2 * half + K.rip, x, x + length, K.rip, blank, 1))

    def book(self, blank: str, x: F, y: F, length: F, width: F, thick: F, layers: int) -> None:
        group = self.m.name("doors")
        part = replace(self.part("door", length - 2 * A.end, width - 2 * A.edge, thick, match=group, match_kind="book"), qty=2)
        self.m.parts[-1] = part
        hinge = self.rng.choice(["near", "far"])
        for layer in (1, 2):
            self.piece(part, blank, x, y, length, width, layer, 2, number=f"#{layer}", set=f"{group} 1", show="sawn", hinge=hinge)

    def slip(self, blank: str, x: F, y: F, length: F, width: F, thick: F, layers: int) -> None:
        group = self.m.name("panels")
        part = replace(self.part("panel", length - 2 * A.end, width - 2 * A.edge, thick, match=group, match_kind="slip"), qty=3)
        self.m.parts[-1] = part
        for layer in (1, 2, 3):
            self.piece(part, blank, x, y, length, width, layer, 3, number=f"#{layer}", set=group)

    def finish(self) -> tuple[Board, BoardPlan]:
        defects = []
        for _ in range(self.rng.randint(0, 5)):
            kind, face = self.rng.choice(HARMLESS), self.rng.choice(["A", "B", "both"])
            x = self.m.sixteenths(0, float(self.b.length) - 4)
            near, far = self.b.channel(x, x + 3)
            y = self.m.sixteenths(float(near) + 0.1, float(far) - 1.2)
            defect = Defect(kind, face, x, max(y, near), self.m.sixteenths(0.25, 3), self.m.sixteenths(0.25, 1))  # type: ignore[arg-type]
            hit = [o for o in self.offcuts if o.x < x + 4 and x - 1 < o.x + o.length and o.y < y + 2 and y - 1 < o.y + o.width]
            if not hit and defect.y + defect.width <= far:
                defects.append(defect)
        board = replace(self.b, defects=tuple(defects))
        cuts = [replace(c, order=n) for n, c in enumerate([*self.cuts, *sorted(self.later, key=lambda c: c.stage != "resaw")], 1)]
        credit = sum((SHOP.values.offcut_credit * board.price * o.length * o.width / board.area for o in self.offcuts), F(0))
        return board, BoardPlan(
            board.name, board.price, credit, tuple(cuts), tuple(self.blanks), tuple(self.pieces), tuple(self.offcuts)
        )


def made_up(
    seed: int, boards: int = 4, hostile: bool = False, units: str = "in", missing: bool = False, kind: Kind = USUAL
) -> tuple[Job, Plan]:
    """A job and a plan that fits it; the same for the same arguments."""
    maker = Maker(random.Random(seed), hostile, kind)
    cut: list[tuple[Board, BoardPlan]] = []
    n = 0
    while len(cut) < boards:
        n += 1
        layout = Layout(maker, maker.board(n))
        if maker.rng.random() < 0.25:
            layout.rip_first()
        else:
            layout.crosscut_first()
        if layout.blanks:
            cut.append(layout.finish())
    spare = [maker.board(900 + i) for i in range(2)]
    unplaced: tuple[Unplaced, ...] = ()
    if missing:
        maker.parts.append(Part(maker.name("back"), 1, "ash", F(3), F(9), F(40)))
        unplaced = (Unplaced(maker.parts[-1].name, 1, "no ash is that thick"),)
    job = Job(maker.name("a cabinet"), units, tuple(maker.parts), (*(b for b, _ in cut), *spare), SHOP)  # type: ignore[arg-type]
    plans = tuple(p for _, p in cut)
    used = sum((b.area * b.nominal for b, _ in cut), F(0)) - sum(
        (o.length * o.width * b.nominal for b, p in cut for o in p.offcuts), F(0)
    )
    net = sum((p.length * p.width * p.thickness * p.qty for p in job.parts if not any(u.part == p.name for u in unplaced)), F(0))
    cost = float(sum((p.cost - p.credit for p in plans), F(0)))
    return job, Plan(job.name, units, plans, unplaced, Totals(cost, None, None, float(net / used), len(plans), 1.0))  # type: ignore[arg-type]
