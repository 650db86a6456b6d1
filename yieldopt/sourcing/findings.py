"""Figures of a study: the table of ways, the break-even and its spread, `source.json`."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from typing import Any

from yieldopt.sourcing.chance import mean_and_error
from yieldopt.sourcing.study import Study
from yieldopt.sourcing.turning import Cost, break_even_scale
from yieldopt.sourcing.ways import Outcome


@dataclass(frozen=True)
class WayFigures:
    """One way over its draws, rack not included."""

    name: str
    cost: Cost
    error: float | None
    board_feet: float
    boards: float
    resaw_cuts: float
    draws: int
    incomplete: int
    # "plans" or "estimate" (quick layouts).
    by: str


@dataclass(frozen=True)
class Turning:
    """The price ratio 8/4 : 4/4 at which the ways cost the same, with the middle nine tenths of single draws."""

    ratio: float
    error: float | None
    low: float
    high: float
    draws: int
    by: str


def way_figures(s: Study) -> list[WayFigures]:
    """Each way by plans where every part of some draw was planned, else by quick layouts."""
    found = []
    for w, way in enumerate(s.ways):
        planned = [o for (k, _), o in sorted(s.planned.items()) if k == w]
        quick = s.quick[w] if w < len(s.quick) else []
        use, by = (planned, "plans") if any(o.complete for o in planned) else (quick, "estimate")
        good = [o for o in use if o.complete]
        if good:
            found.append(_figures(way.name, good, len(use), by))
    return found


def estimates(s: Study) -> list[WayFigures]:
    """Each way by quick layouts alone, all on the same draws."""
    return [
        _figures(w.name, good, len(o), "estimate")
        for w, o in zip(s.ways, s.quick, strict=False)
        if (good := [x for x in o if x.complete])
    ]


def _figures(name: str, good: Sequence[Outcome], tried: int, by: str) -> WayFigures:
    n = len(good)
    cost = Cost(sum(o.cost.fixed for o in good) / n, sum(o.cost.thick for o in good) / n)
    _, error = mean_and_error([o.cost.at(1) for o in good])
    return WayFigures(
        name,
        cost,
        error,
        sum(o.board_feet for o in good) / n,
        sum(o.boards for o in good) / n,
        sum(o.resaw_cuts for o in good) / n,
        n,
        tried - n,
        by,
    )


def turning(s: Study, by: str) -> Turning | None:
    """The break-even by "plans" or by "estimate"; None where the ways don't turn or were not both made on one draw."""
    if s.ratio_today is None or len(s.ways) < 2:
        return None
    if by == "plans":
        pairs = [(s.planned[0, d], s.planned[1, d]) for (w, d) in sorted(s.planned) if w == 0 and (1, d) in s.planned]
    else:
        pairs = list(zip(*s.quick[:2], strict=True)) if len(s.quick) > 1 else []
    good = [(a.cost, b.cost) for a, b in pairs if a.complete and b.complete]
    whole = _ratio(good, s.ratio_today)
    if whole is None:
        return None
    single = sorted(r for pair in good if (r := _ratio([pair], s.ratio_today)) is not None)
    low, high = (single[int(0.05 * (len(single) - 1))], single[round(0.95 * (len(single) - 1))]) if single else (whole, whole)
    return Turning(whole, _jackknife(good, s.ratio_today), low, high, len(good), by)


def _ratio(pairs: Sequence[tuple[Cost, Cost]], today: float) -> float | None:
    thin = sum((a for a, _ in pairs), Cost(0.0, 0.0))
    thick = sum((b for _, b in pairs), Cost(0.0, 0.0))
    scale = break_even_scale(thin, thick)
    return None if scale is None else scale * today


def _jackknife(pairs: Sequence[tuple[Cost, Cost]], today: float) -> float | None:
    """Standard error of a ratio of means: leave each draw out in turn (Tukey's jackknife; Efron, The jackknife, the bootstrap
    and other resampling plans, 1982, from memory)."""
    n = len(pairs)
    without = [r for k in range(n) if (r := _ratio([*pairs[:k], *pairs[k + 1 :]], today)) is not None]
    if n < 2 or len(without) < n:
        return None
    mean = sum(without) / n
    return float(((n - 1) / n * sum((r - mean) ** 2 for r in without)) ** 0.5)


def best_turning(s: Study) -> Turning | None:
    """By plans if at least three draws were planned both ways, else by quick layouts."""
    planned, quick = turning(s, "plans"), turning(s, "estimate")
    return planned if planned is not None and (planned.draws >= 3 or quick is None) else quick


def rack_cost(s: Study) -> float:
    """Net cost of what the rack gives; 0 where the ways are for the whole job bought new."""
    return 0.0 if s.rack is None or s.whole_job else s.rack.totals.net_cost


def to_json(s: Study) -> dict[str, Any]:
    """The dictionary that `source.json` holds."""
    t, p, lines = best_turning(s), s.purchase, s.job.prices
    ways = [_way(s, w) for w in way_figures(s)]
    if s.rack is not None and not s.missing:
        ways.insert(
            0, {"name": "from the rack", "net_cost": round(s.rack.totals.net_cost, 2), "board_feet_bought": 0.0, "by": "plans"}
        )
    return {
        "job": s.job.name,
        "seed": s.asked.seed,
        "seconds": round(s.seconds, 1),
        "stopped": s.stopped,
        "rack_has_enough": not s.missing,
        "missing": [{"part": part, "qty": qty} for part, qty in s.missing.items()],
        "basis": "the whole job, as if all of it were bought"
        if s.whole_job
        else "what the rack does not give; the rack's cost is in net_cost",
        "not_offered": s.not_offered,
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
            "ratio_today": s.ratio_today,
        },
        "grades": [
            {
                "dealer": lines[f.line].dealer,
                "species": lines[f.line].species,
                "quarters": lines[f.line].quarters,
                "grade": lines[f.line].grade,
                "thickness": float(f.thickness),
                "cost_per_square_foot": round(f.cost, 2),
                "standard_error": f.error,
                "clear_yield": round(f.clear_yield, 3),
                "parts": list(f.parts),
                "by": "estimate",
            }
            for f in s.figures
        ],
        "purchase": None
        if p is None
        else {
            "board_feet": round(p.board_feet, 1),
            "chance": p.chance,
            "draws": p.draws,
            "standard_error": p.error,
            "by": "estimate",
            "lines": [_bought(s, k, f, p.boards[k]) for k, f in p.feet.items() if f > 0],
            "curve": [list(c) for c in p.curve],
            "rule_of_thumb": {"board_feet": round(sum(s.thumb.values()), 1), "chance": s.thumb_chance},
        },
    }


def _bought(s: Study, k: int, feet: float, boards: int) -> dict[str, Any]:
    line = s.job.prices[k]
    return {
        "dealer": line.dealer,
        "species": line.species,
        "quarters": line.quarters,
        "grade": line.grade,
        "board_feet": round(feet, 1),
        "boards": boards,
    }


def _way(s: Study, w: WayFigures) -> dict[str, Any]:
    net = w.cost.at(1) + rack_cost(s)
    return {
        "name": w.name,
        "net_cost": round(net, 2),
        "standard_error": w.error,
        "board_feet_bought": round(w.board_feet, 1),
        "boards": round(w.boards, 1),
        "resaw_cuts": round(w.resaw_cuts, 1),
        "cost_per_square_foot": round(w.cost.at(1) / s.area, 2) if s.area else None,
        "draws": w.draws,
        "incomplete_draws": w.incomplete,
        "by": w.by,
    }
