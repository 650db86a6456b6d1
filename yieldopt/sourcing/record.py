"""`source.json`: everything a study found, as plain data."""

from __future__ import annotations

import json
import math
from typing import Any

from yieldopt.errors import UsageError
from yieldopt.sourcing.choosing import Chosen
from yieldopt.sourcing.classes import class_name
from yieldopt.sourcing.findings import (
    WayFigures,
    best_turning,
    chart_lines,
    labour,
    matching_cost,
    rack_cost,
    turning,
    way_figures,
)
from yieldopt.sourcing.grading import GradeRow
from yieldopt.sourcing.purchaserecord import line_record, purchase_record
from yieldopt.sourcing.studied import Study

FORMAT = "yieldopt-source/1"


def read_record(text: str) -> dict[str, Any]:
    """What a `source.json` holds. Raises `UsageError` where it is none of ours, or not whole."""
    try:
        body = json.loads(text)
    except ValueError as error:
        raise UsageError(f"found no JSON ({error}), expected a source.json") from error
    if not isinstance(body, dict) or body.get("format") != FORMAT:
        raise UsageError(f"expected a source.json of the format {FORMAT}")
    lost = sorted(REQUIRED - set(body))
    if lost:
        raise UsageError(f"a source.json without {', '.join(lost)}")
    return body


# Keys that the packet's view reads.
REQUIRED = {
    "ways", "break_even", "break_even_ratio", "missing_wood", "rack_has_enough", "purchase", "purchase_whole_job", "grades",
    "wide_parts", "choice", "matched_pairs", "resaw_pass",
}  # fmt: skip


def to_json(s: Study) -> dict[str, Any]:
    """The dictionary that `source.json` holds; money in the job's, lengths in inches, shares from 0 to 1."""
    t, m = best_turning(s), matching_cost(s)
    ways = [_way(s, w) for w in way_figures(s)]
    if s.rack is not None and not s.missing:
        ways.insert(
            0, {"name": "from the rack", "net_cost": round(s.rack.totals.net_cost, 2), "board_feet_bought": 0.0, "by": "plans"}
        )
    return {
        "format": FORMAT,
        "job": s.job.name,
        "units": s.job.units,
        "seed": s.asked.seed,
        "seconds": round(s.seconds, 1),
        "stopped": s.stopped,
        "stress": s.asked.stress,
        "rack_has_enough": s.rack is not None and not s.missing,
        "missing": [{"part": part, "qty": qty} for part, qty in s.missing.items()],
        "missing_wood": [
            {
                "species": x.species,
                "quarters": x.quarters,
                "parts": list(x.parts),
                "pieces": x.pieces,
                "square_feet": round(x.square_feet, 2),
                "boards": round(x.boards, 1),
                "tally_board_feet": round(x.tally_feet, 1),
                "offered": x.offered,
                "why_not_offered": x.why,
            }
            for x in s.shortfalls
        ],
        "basis": "the whole job, as if all of it were bought"
        if s.whole_job
        else "what the rack does not give; the rack's cost is in net_cost",
        "not_offered": list(s.not_offered),
        "why_not_offered": s.not_offered,
        "ways": ways,
        "break_even_ratio": None if t is None else round(t.ratio, 4),
        "break_even": None
        if t is None
        else {
            "standard_error": t.error,
            "low": t.low,
            "high": t.high,
            "draws": t.draws,
            "by": t.by,
            "carried_over_to": t.over,
            "ratio_today": s.ratio_today,
            "draws_that_agree": t.agree,
            "resawn": s.resaws,
            "estimate": None if (e := turning(s, "estimate")) is None else round(e.ratio, 4),
            "more_layers_if_tested": s.if_tested,
            "sets_only_if_tested": s.sets_if_tested,
            # Net cost at a ratio `r` is `fixed + thick * r / ratio_today`; the first two ways cross at the break-even.
            "lines": [{"way": name, "fixed": c.fixed, "thick": c.thick} for name, c in chart_lines(s, t)],
        },
        "resaw_pass": _labour(s),
        "matched_pairs": None
        if m is None
        else {
            "cost": round(m.cost, 2),
            "standard_error": m.error,
            "pairs": m.pairs,
            "draws": m.draws,
            "by": m.by,
            "carried_over_to": m.over,
        },
        "grades": [_grade(s, g) for g in s.grades],
        "purchase": None if s.bought is None else purchase_record(s, s.bought),
        "purchase_whole_job": None if s.bought_whole is None else purchase_record(s, s.bought_whole),
        "wide_parts": [
            {
                "part": w.part,
                "way": w.way,
                "cost": None if w.cost is None else round(w.cost, 2),
                "standard_error": w.error,
                "board_feet": round(w.board_feet, 1),
                "joints": w.joints,
                "widest": w.widest,
                "strip": w.strip,
                "strip_species": w.other,
                "rarity": round(w.rare, 2),
                "draws": w.draws,
                "by": w.by,
                "why_not": w.why,
            }
            for w in s.wide
        ],
        "choice": None if s.chosen is None else _choice(s, s.chosen),
        "either": [{"board": name, "covers": not c.unplaced, "to_pay": round(c.cost, 2),
                    "taken": name in {o.board.name for o in c.boards}} for name, c in s.either.items()],
        "if_all_tested": None if s.if_all_tested is None else {
            "way": s.if_all_tested.way, "unknown": round(s.if_all_tested.unknown, 2), "tested": round(s.if_all_tested.tested, 2)},
    }  # fmt: skip


def _way(s: Study, w: WayFigures) -> dict[str, Any]:
    net = w.cost.at(1) + rack_cost(s)
    spare = w.total.spare
    return {
        "name": w.name,
        "net_cost": round(net, 2),
        "standard_error": w.error,
        "board_feet_bought": round(w.mean("board_feet"), 1),
        "boards": round(w.mean("boards"), 1),
        "resaw_cuts": round(w.mean("resaw_cuts"), 1),
        "rips": round(w.mean("rips"), 1) if w.by == "plans" else None,
        "crosscuts": round(w.mean("crosscuts"), 1) if w.by == "plans" else None,
        "matched_pairs": round(w.mean("pairs"), 1),
        "kept_board_feet": round(w.mean("kept"), 1),
        "cost_per_square_foot": round(w.cost.at(1) / s.area, 2) if s.area else None,
        "resawn_layers": round(w.mean("layers"), 1),
        "layers_too_thin_if_stressed": round(w.mean("at_risk"), 1),
        "least_thickness_to_spare": None
        if math.isinf(spare.best)
        else {"best": round(spare.best, 3), "typical": round(spare.typical, 3), "stressed": round(spare.stressed, 3)},
        "draws": w.draws,
        "incomplete_draws": w.incomplete,
        "by": w.by,
        "carried_over_to": w.over,
    }


def _labour(s: Study) -> dict[str, Any] | None:
    found = labour(s)
    if found is None:
        return None
    return {
        "saves": round(found.worth, 2),
        "break_even_minutes": [{"hourly": h, "minutes": round(m, 1)} for h, m in found.minutes],
        "minutes": s.asked.minutes,
        "total_minutes": found.total_minutes,
        "labour_cost": found.cost,
    }


def _grade(s: Study, g: GradeRow) -> dict[str, Any]:
    return {
        **line_record(s, g.line),
        "least_class": float(g.nominal),
        "class_name": class_name(g.nominal),
        "cost_per_square_foot": round(g.cost, 2),
        "standard_error": g.error,
        "clear_yield": round(g.clear_yield, 3),
        "parts": list(g.parts),
        "draws": g.draws,
        "by": g.by,
    }


def _choice(s: Study, c: Chosen) -> dict[str, Any]:
    return {
        "boards": [{"board": o.board.name, "cost": float(o.cost), "board_feet": round(float(o.board_feet), 2)} for o in c.boards],
        "to_pay": round(c.cost, 2),
        "bound": c.bound,
        "bundles": [{**line_record(s, k), "more_board_feet": feet} for k, feet in c.bundles.items()],
        "unplaced": [{"part": part, "qty": qty} for part, qty in c.unplaced],
        "second_choices": [
            {
                "gone": i.gone,
                "without": list(i.without),
                "take": list(i.take),
                "more": None if i.more is None else round(i.more, 2),
            }
            for i in c.instead
        ],
    }
