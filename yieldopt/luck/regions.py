"""Where a board of a grade is clear, and so where its flaws may lie: the cuttings that its grade asks for are set first.

Flaws strewn over the whole board by a rate give boards that come to the published yields of narrow strips and yet hold no
long wide clear piece: graded by `trade.estimate`, half of them missed their own grade. A dealer's board makes its grade.
"""

from __future__ import annotations

import math
import random
from collections.abc import Iterator
from dataclasses import dataclass

from yieldopt.trade.grades import SQUARE_INCHES_PER_UNIT, FaceRule


@dataclass(frozen=True, slots=True)
class Plot:
    """A rectangle of a board between x0 and x1, y0 and y1, inches."""

    x0: float
    y0: float
    x1: float
    y1: float

    @property
    def area(self) -> float:
        """Square inches."""
        return (self.x1 - self.x0) * (self.y1 - self.y0)


# Cuttings are a little larger than the rule asks for, since flaws lie on eighths of an inch.
SPARE, HAIR = 1.01, 0.125
# A band narrower than this holds no flaw.
LEAST_BAND = 0.25
# How often a section with room for two cuttings has its flaws in the middle, as boards with the heart's side in them do:
# inference, no source.
MIDDLE = 0.3
# How often all that is not clear lies in bands over the whole width: inference, no source.
ACROSS = 0.4
# Half of the last foot at each end of FAS is clear: Rules par. 59, see `trade.limits`.
FAS_END = 6.0


def flawed_regions(rng: random.Random, rule: FaceRule, upto: float, length: float, width: float) -> tuple[Plot, ...]:
    """What is left of a board, `length` by `width` inches, round cuttings by which it makes the grade of `rule`.

    The cuttings' share of the face is drawn evenly from what the rule asks for to `upto`; they lie one after another, over
    the whole width or along an edge, or two beside each other. Too small a board for one cutting of the rule is cut up all the
    same: a dealer's word is wider than the rule book.
    """
    surface = max(1, round(width * math.floor(length / 12) / 12))
    most = rule.most_cuttings(surface) or surface
    asked = float(rule.small.get(surface, rule.units)) / SQUARE_INCHES_PER_UNIT
    # The rule counts whole feet of surface: a rounded-up count asks for more of the face.
    low = min(1.0, SPARE * asked * surface * 144 / (length * width))
    share = rng.uniform(low, max(low, upto))
    count = rng.randint(1, most)
    across, along = (size + HAIR for size in _least(rule, width))
    while count > 1 and share * length / count < along:
        count -= 1
    # Of what is not clear, a part in bands over the whole width, the rest in bands along the sections.
    lost = (1 - share) * min(1.0, rng.random() / (1 - ACROSS))
    clear_width = width * share / (1 - lost)
    end = FAS_END if rule.grade == "FAS" else math.inf
    if count == 1:
        lost = min(lost, 2 * end / length)
        clear_width = width * share / (1 - lost)
    if clear_width < across:
        clear_width = min(width, max(across, width * share))
        lost = max(0.0, 1 - share * width / clear_width)
    gaps = _gaps(rng, count, lost * length, end)
    runs = _runs(rng, count, (1 - lost) * length, along)
    spare = most - count
    found: list[Plot] = []
    x = 0.0
    for n, run in enumerate(runs):
        if gaps[n] >= LEAST_BAND:
            found.append(Plot(x, 0.0, x + gaps[n], width))
        x += gaps[n]
        middle = spare > 0 and clear_width >= 2 * across and rng.random() < MIDDLE
        spare -= middle
        found += _bands(rng, x, x + run, width, clear_width, across, middle)
        x += run
    if length - x >= LEAST_BAND:
        found.append(Plot(x, 0.0, length, width))
    return tuple(found)


def _least(rule: FaceRule, width: float) -> tuple[float, float]:
    """Width and length of the rule's least cutting that goes into the board: the wide short one, else the narrow long one."""
    sizes = sorted(((float(c.width), float(c.length)) for c in rule.cuttings), reverse=True) or [(1.5, 24.0)]
    return next(((w, n) for w, n in sizes if w <= 0.75 * width), sizes[-1])


def _bands(rng: random.Random, x0: float, x1: float, width: float, clear: float, across: float, middle: bool) -> Iterator[Plot]:
    """Bands beside the cutting or cuttings of one section: at one edge, at both, or in the middle."""
    rest = width - clear
    if rest < LEAST_BAND:
        return
    if middle:
        first = rng.uniform(across, clear - across)
        yield Plot(x0, first, x1, first + rest)
        return
    near = rest * rng.choice((0.0, 1.0, 0.5))
    for a, b in ((0.0, near), (width - (rest - near), width)):
        if b - a >= LEAST_BAND:
            yield Plot(x0, a, x1, b)


def _shares(rng: random.Random, count: int, total: float) -> list[float]:
    weights = [rng.expovariate(1.0) for _ in range(count)]
    return [total * w / sum(weights) for w in weights]


def _gaps(rng: random.Random, count: int, total: float, end: float) -> list[float]:
    """Bands before, between and after `count` sections; the first and the last at most `end`, where others can take the rest."""
    gaps = _shares(rng, count + 1, total)
    for k in (0, -1):
        over = max(0.0, gaps[k] - end)
        gaps[k] -= over
        # With one section the other end takes it: together they are no more than twice `end`.
        gaps[1 if count > 1 else -1 - k] += over
    return gaps


def _runs(rng: random.Random, count: int, total: float, least: float) -> list[float]:
    """Lengths of the sections, none shorter than `least` where they are several."""
    if count == 1:
        return [total]
    return [least + s for s in _shares(rng, count, max(0.0, total - count * least))]
