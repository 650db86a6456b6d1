"""How much to buy so that it suffices with a given chance, boards and hidden flaws being what they may."""

from __future__ import annotations

import math
import random
from collections.abc import Mapping, Sequence
from dataclasses import dataclass, replace

from yieldopt.deadline import Deadline
from yieldopt.lumber import CUBIC_INCHES_PER_BOARD_FOOT, Job
from yieldopt.plan import Plan
from yieldopt.sourcing.chance import enough, share_error, share_met
from yieldopt.sourcing.grade_wood import wood_of
from yieldopt.sourcing.market import Market, by_line
from yieldopt.sourcing.wants import line_makes, short_parts, wants_of

# Added to the net by rule of thumb, as shares of the net: 40 % for FAS and the like, 70 % for common, of finished face area
# (1 / 0.70 and 1 / 0.59, the published yields); magazines and shops say 15 to 100 % and more.
THUMB_BEST, THUMB_COMMON = 0.40, 0.70


@dataclass(frozen=True)
class Needs:
    """What each draw needed, by price line, in board feet and boards as the dealer counts."""

    feet: Mapping[int, Sequence[float]]
    boards: Mapping[int, Sequence[int]]
    draws: int
    # Draws in which some want could not be met at all.
    hopeless: int


@dataclass(frozen=True)
class Purchase:
    """The least purchase found that suffices with the chance asked for."""

    feet: Mapping[int, float]
    boards: Mapping[int, int]
    chance: float
    error: float
    draws: int
    # (board feet, chance) of smaller and larger purchases, rising.
    curve: tuple[tuple[float, float], ...]

    @property
    def board_feet(self) -> float:
        return sum(self.feet.values())


def struck(job: Job, plan: Plan, hidden: float, rng: random.Random) -> dict[str, int]:
    """Parts of a plan on the rack that hidden flaws spoil in one draw: count by part.

    Flaws fall evenly, `hidden` a square foot, so a piece of area A is spared with chance exp(-hidden A). A spoiled stave
    costs its whole part. That all are found before anything is recut from offcuts is the cautious reading.
    """
    count: dict[str, set[str]] = {}
    for _, p in plan.pieces():
        if rng.random() > math.exp(-hidden * float(p.length * p.width) / 144):
            count.setdefault(p.part, set()).add(p.piece.partition("/")[0])
    return {part: len(names) for part, names in count.items()}


def draw_needs(
    job: Job,
    plan: Plan | None,
    missing: Mapping[str, int],
    line_of: Mapping[str, int],
    market: Market,
    draws: int,
    deadline: Deadline,
) -> Needs:
    """Draw boards until each line's wants are met, `draws` times or until the deadline (at least twenty times)."""
    feet: dict[int, list[float]] = {k: [] for k in sorted(set(line_of.values()))}
    boards: dict[int, list[int]] = {k: [] for k in feet}
    done = hopeless = 0
    qty = {p.name: p.qty for p in job.parts}
    while done < draws and (done < 20 or not deadline.over):
        more = dict(missing)
        if plan is not None:
            for part, n in struck(job, plan, market.hidden, random.Random(f"struck/{market.seed}/{done}")).items():
                more[part] = min(qty[part], more.get(part, 0) + n)
        wants = by_line(wants_of(short_parts(job, _whole_groups(job, more)), job.shop), line_of)
        for k in feet:
            got, met = market.bought(k, 1000 + done, wants.get(k, ()))
            feet[k].append(sum(float(d.bill.board_feet) for d, _ in got) if met else math.inf)
            boards[k].append(len(got))
        hopeless += any(feet[k][-1] == math.inf for k in feet)
        done += 1
    return Needs(feet, boards, done, hopeless)


def _whole_groups(job: Job, missing: Mapping[str, int]) -> dict[str, int]:
    """Where one piece of a book, slip or run is missing, the whole group is: the others no longer match."""
    groups = {p.match for p in job.parts if p.match and p.match_kind in ("book", "slip", "run") and missing.get(p.name)}
    return {p.name: p.qty if p.match in groups and p.match else missing.get(p.name, 0) for p in job.parts}


def smallest(needs: Needs, chance: float) -> Purchase | None:
    """The least purchase with every line at the same quantile of its own need, for which all suffice at once often enough.

    None where even the largest need drawn does not.
    """
    curve = []
    found: Purchase | None = None
    for k in range(1, needs.draws + 1):
        stock = {line: enough(some, k / needs.draws) for line, some in needs.feet.items()}
        if any(s == math.inf for s in stock.values()):
            break
        met = joint(needs, stock)
        curve.append((sum(stock.values()), met))
        if found is None and met >= chance - 1e-9:
            boards = {line: int(enough([float(b) for b in some], k / needs.draws)) for line, some in needs.boards.items()}
            found = Purchase(stock, boards, met, share_error(met, needs.draws), needs.draws, ())
    return None if found is None else replace(found, curve=tuple(dict(curve).items()))


def joint(needs: Needs, stock: Mapping[int, float]) -> float:
    """Share of draws in which every line's stock suffices."""
    worst = [max((some[d] - stock[line] for line, some in needs.feet.items()), default=0.0) for d in range(needs.draws)]
    return share_met(worst, 0.0) if worst else 1.0


def by_thumb(job: Job, missing: Mapping[str, int], line_of: Mapping[str, int], market: Market) -> dict[int, float]:
    """Board feet by rule of thumb: finished face area at the line's nominal thickness, over its layers, and the share more."""
    stock = dict.fromkeys(set(line_of.values()), 0.0)
    parts = {p.name: p for p in short_parts(job, missing)}
    layers: dict[str, int] = {}
    for w in wants_of(tuple(parts.values()), job.shop):
        if w.part in line_of:
            layers[w.part] = max(1, line_makes(w, market.lines[line_of[w.part]], job.shop))
    for name, p in parts.items():
        if name in line_of:
            line = market.lines[line_of[name]]
            best = (wood_of(line.grade)[0].published or 1.0) >= 0.65
            net = float(p.length * p.width * p.qty * line.nominal) / CUBIC_INCHES_PER_BOARD_FOOT / layers.get(name, 1)
            stock[line_of[name]] += net * (1 + (THUMB_BEST if best else THUMB_COMMON))
    return stock
