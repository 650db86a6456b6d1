"""What trials of purchases told of one species: which stock makes every part on which draw, and how often.

The quick layouts have been made on many draws, plans take seconds each. So the quick layouts sort the draws, for each stock,
into those where they make every part and those where they don't; the planner is tried on some of each, and what it makes of
each sort counts by that sort's share of all draws (post-stratification; `trade.unverified`: double
sampling).
"""

from __future__ import annotations

import math
from collections.abc import Mapping, Sequence
from dataclasses import dataclass, field

from yieldopt.luck.chance import share_error
from yieldopt.sourcing.purchase.trial import Answer

# Board feet asked for of each line of a species, in the order of its lines.
Stock = tuple[float, ...]
# Draws of each sort from which a stock is judged: hard ones, on which quick layouts lack parts, tell more.
EASY, HARD = 5, 10
HAIR = 1e-9


@dataclass(frozen=True)
class Share:
    """How often a stock suffices, the error of that, and the share of draws on which the trials found out neither way."""

    made: float
    error: float
    not_known: float
    draws: int


@dataclass
class Record:
    """Trials of one species. `needs` are the least stocks, by line, with which quick layouts make every part of each draw."""

    needs: Sequence[Stock]
    tried: dict[tuple[Stock, int], Answer] = field(default_factory=dict)

    def easy(self, stock: Stock, draw: int) -> bool:
        """Whether quick layouts make every part of a draw from it."""
        return all(n <= s + HAIR for n, s in zip(self.needs[draw], stock, strict=True))

    def known(self, stock: Stock) -> dict[int, Answer]:
        """What is known of a stock by draw: what suffices does with more of any line, what is lacking is so with less."""
        found: dict[int, Answer] = {}
        for (other, d), answer in self.tried.items():
            if answer == "made" and _within(other, stock):
                found[d] = "made"
            elif (answer == "lacking" and _within(stock, other)) or other == stock:
                found.setdefault(d, answer)
        return found

    def sorts(self, stock: Stock) -> tuple[list[int], list[int]]:
        """Easy draws and hard ones."""
        easy = [d for d in range(len(self.needs)) if self.easy(stock, d)]
        return easy, sorted(set(range(len(self.needs))) - set(easy))

    def share(self, stock: Stock) -> Share | None:
        """How often a stock suffices; None where no easy draw was tried though there are such."""
        known = self.known(stock)
        total = error = unknown = 0.0
        parts: list[tuple[float, float]] = []
        for some, needed in zip(self.sorts(stock), (True, False), strict=True):
            weight = len(some) / len(self.needs)
            answers = [known[d] for d in some if d in known]
            if not answers:
                if needed and some:
                    return None
                # Hard draws that were not tried are not known.
                unknown += weight
                parts.append((weight, 0.0))
                continue
            made, open_ = (answers.count(a) / len(answers) for a in ("made", "not known"))
            total, unknown = total + weight * made, unknown + weight * open_
            error += (weight * share_error(made, len(answers))) ** 2
            parts.append((weight, made))
        (a, first), (b, second) = parts
        return Share(total, math.sqrt(error + a * b * (first - second) ** 2 / len(self.needs)), unknown, len(known))

    def judged(self, stock: Stock, asked: float) -> bool | None:
        """Whether a stock suffices as often as `asked`; None while too few draws were tried to say."""
        known = self.known(stock)
        easy, hard = self.sorts(stock)
        of_easy, of_hard = (sum(d in known for d in some) for some in (easy, hard))
        weight = len(hard) / len(self.needs)
        failed = sum(known[d] != "made" for d in known)
        # So many failures in so few trials say enough.
        if failed >= 3 and of_hard >= 3:
            best = sum(known.get(d) == "made" for d in hard) / of_hard
            if 1 - weight + weight * best < asked - 0.02:
                return False
        if of_easy < min(EASY, len(easy)) or of_hard < min(HARD, len(hard)):
            return None
        share = self.share(stock)
        return share is not None and share.made >= asked - HAIR


def _within(some: Stock, other: Stock) -> bool:
    return all(a <= b + HAIR for a, b in zip(some, other, strict=True))


def together(shares: Mapping[str, Share]) -> Share:
    """Of all species at once: they are drawn independently, so that chances multiply and the relative errors of the factors
    add up in squares."""
    made = math.prod(s.made for s in shares.values())
    at_most = math.prod(min(1.0, s.made + s.not_known) for s in shares.values())
    error = max(made, 0.05) * math.sqrt(sum((s.error / max(s.made, 0.05)) ** 2 for s in shares.values()))
    return Share(made, error, at_most - made, min((s.draws for s in shares.values()), default=0))
