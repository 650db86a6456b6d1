"""A purchase as the record that `source.json` holds of it."""

from __future__ import annotations

from collections.abc import Iterator, Mapping, Sequence
from typing import TypedDict

from yieldopt.records.purchase import (
    Bill,
    Budget,
    ByPlans,
    FigureParts,
    FirstTrip,
    FreshDraws,
    LeastBoard,
    Line,
    LineAmount,
    LineBought,
    OtherForm,
    PurchaseFound,
    QuickAnswer,
    RuleOfThumb,
    Serves,
    TwoTrips,
)
from yieldopt.sizes.sizing import end_trim
from yieldopt.sourcing.lay.wants import Want, line_makes, wants_of
from yieldopt.sourcing.market.lines import by_line
from yieldopt.sourcing.purchase.bought import Bought
from yieldopt.sourcing.purchase.smallest import Purchase
from yieldopt.sourcing.purchase.takealong import Figure, accounts, figure, other_forms, total, two_trips, within_budget
from yieldopt.sourcing.studied import Study


def purchase_record(s: Study, b: Bought) -> PurchaseFound | None:
    """None where no purchase suffices often enough."""
    quick, told, c = b.purchase, b.told, b.confirmed
    if quick is None or told is None:
        return None
    parts = figure(told, quick, b.plain, s.asked.chance, b.least, b.market)
    return PurchaseFound(
        board_feet=round(told.board_feet, 1),
        cost=round(told.cost, 2),
        to_pay=round(total(told, b.market, s.asked), 2),
        chance_asked=s.asked.chance,
        chance=told.chance,
        standard_error=told.error,
        not_settled=c.share.not_known if b.planned and c is not None and c.share is not None else 0.0,
        draws=told.draws,
        by="plans" if b.planned else "estimate",
        picked=any(p.share < 1 for p in b.picks.values()),
        lines=tuple(_lines(s, b, told, parts)),
        parts_of_the_figure=_figure(parts, None),
        accounts=tuple(
            Bill(
                dealer=a.dealer,
                wood=round(a.wood, 2),
                delivery=round(a.delivery, 2),
                tax=round(a.tax, 2),
                total=round(a.total, 2),
            )
            for a in accounts(told.money, b.market, s.asked)
        ),
        two_trips=_trips(b),
        budget=_budget(s, b),
        other_forms=tuple(_forms(s, b)),
        quick_layouts=QuickAnswer(
            board_feet=round(quick.board_feet, 1), chance=quick.chance, draws=quick.draws, standard_error=quick.error
        ),
        confirmed_by_plans=_confirmed(b),
        curve=tuple((feet, chance) for feet, chance in quick.curve),
        rule_of_thumb=RuleOfThumb(board_feet=round(sum(b.thumb.values()), 1), chance=b.thumb_chance),
    )


def _figure(f: Figure, line: int | None) -> FigureParts:
    """The parts of all lines, or of one, board feet."""

    def part(by_line: Mapping[int, float]) -> float:
        return round(sum(v for k, v in by_line.items() if line in (None, k)), 1)

    return FigureParts(
        used=part(f.used),
        luck=part(f.luck),
        surprises=part(f.surprises),
        planning=part(f.planning),
        not_settled=part(f.not_settled),
    )


def _lines(s: Study, b: Bought, told: Purchase, parts: Figure) -> Iterator[LineBought]:
    wants = wants_of(b.basis.missing, s.job.shop) or wants_of(s.job.parts, s.job.shop)
    mine = by_line(wants, b.lines)
    for k, feet in sorted(told.feet.items()):
        if feet > 0:
            yield _line(s, b, told, parts, k, mine.get(k, []))


def _line(s: Study, b: Bought, told: Purchase, parts: Figure, k: int, own: Sequence[Want]) -> LineBought:
    feet = told.feet[k]
    trim = 2 * end_trim(s.job.prices[k].nominal, s.job.shop)
    driver = b.needs.driver(k)
    largest = next((w for w in own if w.part == driver), own[0] if own else None)
    pick = b.picks.get(k)
    return LineBought(
        **named(s, k),
        board_feet=round(feet, 1),
        boards=told.boards[k],
        board_feet_a_board=round(b.needs.board(k) or feet, 1),
        money=round(told.money[k], 2),
        least_width=None if not own else float(max(pick.width if pick else 0, min(w.width for w in own))),
        least_length=None if not own else float(max(pick.length if pick else 0, min(w.length for w in own) + trim)),
        share_picked=pick.share if pick else 1.0,
        parts=tuple(Serves(part=w.part, pieces=w.qty * w.layers) for w in own),
        driver=driver,
        parts_of_the_figure=_figure(parts, k),
        if_short=None
        if largest is None
        else LeastBoard(part=largest.part, width=float(largest.width), length=float(largest.length + trim)),
        else_from=_else_from(s, b, k, own),
    )


class Named(TypedDict):
    """The names of a price line."""

    dealer: str
    species: str
    quarters: str
    grade: str


def named(s: Study, k: int) -> Named:
    """A price line by name."""
    line = s.job.prices[k]
    return {"dealer": line.dealer, "species": line.species, "quarters": line.quarters, "grade": line.grade}


def _else_from(s: Study, b: Bought, k: int, own: Sequence[Want]) -> Line | None:
    """The line to take where the dealer has too little of one: the cheapest other that makes all its parts."""
    line = s.job.prices[k]
    able = [
        j
        for j, x in enumerate(b.market.lines)
        if j != k and own and all(line_makes(w, x, s.job.shop, b.market.stress) for w in own)
    ]
    best = min(able, key=lambda j: (abs(s.job.prices[j].nominal - line.nominal), s.job.prices[j].price_bf, j), default=None)
    return None if best is None else Line(**named(s, best))


def _trips(b: Bought) -> TwoTrips | None:
    t = two_trips(b.needs, b.market)
    if t is None:
        return None
    return TwoTrips(
        first=FirstTrip(
            board_feet=round(t.first.board_feet, 1),
            cost=round(t.first.cost, 2),
            chance=t.first.chance,
            boards={str(k): n for k, n in t.first.boards.items() if n},
        ),
        second_trip_chance=t.again,
        second_board_feet=round(t.then, 1),
        mean_board_feet=round(t.both, 1),
    )


def _budget(s: Study, b: Bought) -> Budget | None:
    found = within_budget(b.needs, b.market, s.asked)
    if found is None:
        return None
    p = found.purchase
    amounts = [] if p is None else [(k, round(feet, 1), p.boards[k]) for k, feet in sorted(p.feet.items()) if feet > 0]
    return Budget(
        money=found.money,
        to_pay=round(found.cost, 2),
        board_feet=None if p is None else round(p.board_feet, 1),
        chance=None if p is None else p.chance,
        lines=tuple(LineAmount(**named(s, k), board_feet=feet, boards=boards) for k, feet, boards in amounts),
    )


def _forms(s: Study, b: Bought) -> Iterator[OtherForm]:
    prices = s.job.prices
    for f in other_forms(b.basis, b.lines, b.market, s.asked.chance):
        yield OtherForm(
            line=Line(**named(s, f.line)),
            other=Line(**named(s, f.other)),
            pack_board_feet=float(max(prices[f.line].bundle_bf, prices[f.other].bundle_bf)),
            in_use_is_pack=bool(prices[f.line].bundle_bf),
            outlay=round(f.outlay, 2),
            other_outlay=round(f.other_outlay, 2),
        )


def _confirmed(b: Bought) -> ByPlans | None:
    c = b.confirmed
    if c is None:
        return None
    return ByPlans(
        draws=c.share.draws if c.share is not None else c.quick.draws if c.quick is not None else 0,
        chance=None if c.quick is None else c.quick.made,
        standard_error=None if c.quick is None else c.quick.error,
        not_settled=None if c.quick is None else c.quick.not_known,
        least_board_feet=None if c.stock is None or b.told is None else round(b.told.board_feet, 1),
        search_ended=c.whole,
        fresh_draws=FreshDraws(
            draws=c.fresh.draws, made=c.fresh.made, lacking=c.fresh.lacking, not_known=c.fresh.not_known
        ),
        curve=tuple((feet, chance) for feet, chance in c.path),
    )
