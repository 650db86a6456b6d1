"""The purchase as a step of the study: the lines to buy ahead from, sizes worth picking, how much, and what the planner says."""

from __future__ import annotations

from collections.abc import Callable, Mapping
from dataclasses import dataclass, replace

from yieldopt.ground.deadline import Deadline
from yieldopt.sourcing.asked import Asked
from yieldopt.sourcing.market.lines import Market
from yieldopt.sourcing.purchase.cheaper import cheaper_lines
from yieldopt.sourcing.purchase.confirm import Confirmed, confirm
from yieldopt.sourcing.purchase.needs import Basis, Needs, draw_needs
from yieldopt.sourcing.purchase.picking import Pick, picked, picks_for
from yieldopt.sourcing.purchase.smallest import Purchase, as_bought, by_thumb, joint, smallest
from yieldopt.sourcing.ways.question import Question
from yieldopt.workers.runner import Runner

Say = Callable[[str], None]


@dataclass(frozen=True)
class Bought:
    """A purchase for one basis: what has to be made, how much for it, how the rule of thumb compares."""

    basis: Basis
    purchase: Purchase | None
    needs: Needs
    thumb: dict[int, float]
    thumb_chance: float
    # Line by part.
    lines: Mapping[str, int]
    # The lines as boards are picked from them, the picks, and the needs of the same draws without hidden flaws.
    market: Market
    picks: Mapping[int, Pick]
    plain: Needs
    confirmed: Confirmed | None = None

    @property
    def planned(self) -> bool:
        """Whether the purchase that is told is the planner's."""
        return self.confirmed is not None and self.confirmed.stock is not None

    @property
    def told(self) -> Purchase | None:
        """What to buy: by plans where they found a stock that suffices often enough, else by quick layouts."""
        c = self.confirmed
        if c is None or c.stock is None or c.share is None:
            return self.purchase
        found = as_bought(self.needs, c.stock, self.market)
        return replace(found, chance=c.share.made, error=c.share.error, draws=c.share.draws)

    @property
    def least(self) -> Mapping[int, float]:
        """Board feet by line that would do were every unsettled trial a success."""
        c = self.confirmed
        if c is None or c.if_settled is None:
            return {}
        return as_bought(self.needs, c.if_settled, self.market).feet


@dataclass(frozen=True)
class Purchases:
    """What to add to the rack; and, where the rack has enough, what the whole job would take. As far as the time went."""

    # Line by part.
    lines: Mapping[str, int]
    # The least sizes to pick, by line.
    picks: Mapping[int, Pick]
    added: Bought | None = None
    whole: Bought | None = None


def purchases(
    q: Question, lines: Mapping[str, int], market: Market, asked: Asked, runner: Runner, deadline: Deadline, say: Say
) -> Purchases:
    """How much to buy, by quick layouts, of these lines or of cheaper ones."""
    say("choosing lines to buy ahead from ...")
    step = deadline.part(0.08 * deadline.left)
    wanted = Basis.of(q.job, None, q.counts).on_sale(lines)
    lines = cheaper_lines(wanted, lines, market, asked.chance, runner, step)
    picks: Mapping[int, Pick] = {}
    if asked.picked:
        say("looking for the least sizes worth picking ...")
        step = deadline.part(0.08 * deadline.left)
        picks = picks_for(wanted, lines, market, asked.chance, q.job.units, runner, step)
    found = Purchases(lines, picks)
    added = Basis.of(q.job, q.on_rack.plan, q.on_rack.missing).on_sale(lines)
    found = replace(found, added=_bought(added, found, market, asked, runner, deadline, say))
    if q.whole_job and not deadline.stopped:
        whole = Basis.of(q.job, None, q.counts).on_sale(lines)
        found = replace(found, whole=_bought(whole, found, market, asked, runner, deadline, say))
    return found


def _bought(
    basis: Basis, found: Purchases, market: Market, asked: Asked, runner: Runner, deadline: Deadline, say: Say
) -> Bought:
    say(f"making up boards for the purchase, {asked.draws} times ...")
    market = picked(market, found.picks)
    step = deadline.part(max(3.0, 0.15 * deadline.left))
    needs = draw_needs(basis, found.lines, market, asked.draws, step, runner)
    step = deadline.part(max(2.0, 0.08 * deadline.left))
    calm = draw_needs(basis, found.lines, market.without_surprises(), needs.draws, step, runner)
    thumb = by_thumb(basis, found.lines, market)
    least = smallest(needs, asked.chance, market)
    return Bought(basis, least, needs, thumb, joint(needs, thumb), found.lines, market, found.picks, calm)


def confirmed(
    found: Purchases, missing: bool, asked: Asked, runner: Runner, step: Deadline, each: float, say: Say
) -> Purchases:
    """The purchases with the planner's word on one: of the missing parts, or of the whole job where nothing is missing."""
    bought = found.added if missing else found.whole
    if bought is None or bought.purchase is None:
        return found
    say("trying purchases with the planner ...")
    word = confirm(
        bought.basis,
        bought.purchase,
        bought.needs,
        bought.lines,
        bought.market,
        asked.chance,
        runner,
        step,
        each,
        say,
        asked.each_steps,
    )
    told = replace(bought, confirmed=word)
    return replace(found, added=told) if missing else replace(found, whole=told)
