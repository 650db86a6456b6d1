"""Everything a study found as the record that `source.json` holds: money in the job's, lengths in inches, shares from 0 to 1."""

from __future__ import annotations

import math

from yieldopt.records.study import (
    BoardTaken,
    BreakEven,
    BundleMore,
    Choice,
    Either,
    GradeFound,
    IfTested,
    MatchedSets,
    MinutesWorth,
    PartsMissing,
    ResawPass,
    SecondBoard,
    Spare,
    StudyRecord,
    WayFound,
    WayLine,
    WideFound,
    WoodMissing,
)
from yieldopt.sourcing.choice.choosing import Chosen
from yieldopt.sourcing.lay.classes import class_name
from yieldopt.sourcing.market.shortfall import Shortfall
from yieldopt.sourcing.studied import Study
from yieldopt.sourcing.told.findings import (
    Turning,
    WayFigures,
    best_turning,
    chart_lines,
    labour,
    matching_cost,
    rack_cost,
    turning,
    way_figures,
)
from yieldopt.sourcing.told.purchase_record import named, purchase_record
from yieldopt.sourcing.ways.grading import GradeRow
from yieldopt.sourcing.ways.quick_ways import Tested
from yieldopt.sourcing.ways.wide import Wide


def record(s: Study) -> StudyRecord:
    """The record of a study, as far as it came."""
    t, b = best_turning(s), s.purchases
    return StudyRecord(
        job=s.job.name,
        units=s.job.units,
        seed=s.asked.seed,
        seconds=round(s.seconds, 1),
        stopped=s.stopped,
        stress=s.asked.stress,
        rack_has_enough=s.question.on_rack.plan is not None and not s.question.on_rack.missing,
        missing=tuple(PartsMissing(part=part, qty=qty) for part, qty in s.question.on_rack.missing.items()),
        missing_wood=tuple(_missing(x) for x in s.question.shortfalls),
        basis="the whole job, as if all of it were bought"
        if s.question.whole_job
        else "what the rack does not give; the rack's cost is in net_cost",
        not_offered=tuple(s.question.not_offered),
        why_not_offered=s.question.not_offered,
        ways=(*_from_the_rack(s), *(_way(s, w) for w in way_figures(s))),
        break_even_ratio=None if t is None else round(t.ratio, 4),
        break_even=None if t is None else _break_even(s, t),
        resaw_pass=_labour(s),
        matched_pairs=_matched(s),
        grades=tuple(_grade(s, g) for g in s.grades),
        purchase=None if b is None or b.added is None else purchase_record(s, b.added),
        purchase_whole_job=None if b is None or b.whole is None else purchase_record(s, b.whole),
        wide_parts=tuple(_wide(w) for w in s.wide),
        choice=None if s.picked.chosen is None else _choice(s, s.picked.chosen),
        either=tuple(_either(name, c) for name, c in s.picked.either.items()),
        if_all_tested=None if s.if_all_tested is None else _if_tested(s.if_all_tested),
    )


def _missing(x: Shortfall) -> WoodMissing:
    return WoodMissing(
        species=x.species,
        quarters=x.quarters,
        parts=x.parts,
        pieces=x.pieces,
        square_feet=round(x.square_feet, 2),
        boards=round(x.boards, 1),
        tally_board_feet=round(x.tally_feet, 1),
        offered=x.offered,
        why_not_offered=x.why,
    )


def _from_the_rack(s: Study) -> tuple[WayFound, ...]:
    if s.question.on_rack.plan is None or s.question.on_rack.missing:
        return ()
    cost = round(s.question.on_rack.plan.totals.net_cost, 2)
    return (WayFound(name="from the rack", net_cost=cost, board_feet_bought=0.0, by="plans"),)


def _way(s: Study, w: WayFigures) -> WayFound:
    spare, planned = w.total.spare, w.by == "plans"
    return WayFound(
        name=w.name,
        net_cost=round(w.cost.at(1) + rack_cost(s), 2),
        standard_error=w.error,
        board_feet_bought=round(w.mean("board_feet"), 1),
        boards=round(w.mean("boards"), 1),
        resaw_cuts=round(w.mean("resaw_cuts"), 1),
        rips=round(w.mean("rips"), 1) if planned else None,
        crosscuts=round(w.mean("crosscuts"), 1) if planned else None,
        matched_pairs=round(w.mean("pairs"), 1),
        kept_board_feet=round(w.mean("kept"), 1),
        cost_per_square_foot=round(w.cost.at(1) / s.question.area, 2) if s.question.area else None,
        resawn_layers=round(w.mean("layers"), 1),
        layers_too_thin_if_stressed=round(w.mean("at_risk"), 1),
        least_thickness_to_spare=None
        if math.isinf(spare.best)
        else Spare(best=round(spare.best, 3), typical=round(spare.typical, 3), stressed=round(spare.stressed, 3)),
        draws=w.draws,
        incomplete_draws=w.incomplete,
        by=w.by,
        carried_over_to=w.over,
    )


def _break_even(s: Study, t: Turning) -> BreakEven:
    estimate = turning(s, "estimate")
    return BreakEven(
        standard_error=t.error,
        low=t.low,
        high=t.high,
        draws=t.draws,
        by=t.by,
        carried_over_to=t.over,
        ratio_today=s.question.ratio_today,
        draws_that_agree=t.agree,
        resawn=s.question.resaws,
        estimate=None if estimate is None else round(estimate.ratio, 4),
        more_layers_if_tested=tuple(s.question.if_tested),
        sets_only_if_tested=tuple(s.question.sets_if_tested),
        lines=tuple(WayLine(way=name, fixed=c.fixed, thick=c.thick) for name, c in chart_lines(s, t)),
    )


def _labour(s: Study) -> ResawPass | None:
    found = labour(s)
    if found is None:
        return None
    return ResawPass(
        saves=round(found.worth, 2),
        break_even_minutes=tuple(MinutesWorth(hourly=h, minutes=round(m, 1)) for h, m in found.minutes),
        minutes=s.asked.minutes,
        total_minutes=found.total_minutes,
        labour_cost=found.cost,
    )


def _matched(s: Study) -> MatchedSets | None:
    m = matching_cost(s)
    if m is None:
        return None
    return MatchedSets(
        cost=round(m.cost, 2), standard_error=m.error, pairs=m.pairs, draws=m.draws, by=m.by, carried_over_to=m.over
    )


def _grade(s: Study, g: GradeRow) -> GradeFound:
    return GradeFound(
        **named(s, g.line),
        least_class=float(g.nominal),
        class_name=class_name(g.nominal),
        cost_per_square_foot=round(g.cost, 2),
        standard_error=g.error,
        clear_yield=round(g.clear_yield, 3),
        parts=tuple(g.parts),
        draws=g.draws,
        by=g.by,
    )


def _wide(w: Wide) -> WideFound:
    return WideFound(
        part=w.part,
        way=w.way,
        cost=None if w.cost is None else round(w.cost, 2),
        standard_error=w.error,
        board_feet=round(w.board_feet, 1),
        joints=w.joints,
        widest=w.widest,
        strip=w.strip,
        strip_species=w.other,
        rarity=round(w.rare, 2),
        draws=w.draws,
        by=w.by,
        why_not=w.why,
    )


def _choice(s: Study, c: Chosen) -> Choice:
    return Choice(
        boards=tuple(
            BoardTaken(board=o.board.name, cost=float(o.cost), board_feet=round(float(o.board_feet), 2)) for o in c.boards
        ),
        to_pay=round(c.cost, 2),
        bound=c.bound,
        bundles=tuple(BundleMore(**named(s, k), more_board_feet=feet) for k, feet in c.bundles.items()),
        unplaced=tuple(PartsMissing(part=part, qty=qty) for part, qty in c.unplaced),
        second_choices=tuple(
            SecondBoard(
                gone=i.gone, without=tuple(i.without), take=tuple(i.take), more=None if i.more is None else round(i.more, 2)
            )
            for i in c.instead
        ),
    )


def _either(name: str, c: Chosen) -> Either:
    taken = name in {o.board.name for o in c.boards}
    return Either(board=name, covers=not c.unplaced, to_pay=round(c.cost, 2), taken=taken)


def _if_tested(t: Tested) -> IfTested:
    return IfTested(way=t.way, unknown=round(t.unknown, 2), tested=round(t.tested, 2))
