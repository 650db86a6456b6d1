"""Charts of what to buy, drawn on axes that the caller passes from the study's record: net cost of each way against
the price of 8/4, chance of running short against board feet."""

from __future__ import annotations

from collections.abc import Sequence
from typing import Any, NamedTuple, TypeGuard

from yieldopt.drawing.words.buyingwords import Measures
from yieldopt.ground.lengths import Units
from yieldopt.records.purchase import PurchaseFound
from yieldopt.records.study import BreakEven, StudyRecord

# Ways are told apart by dashes and by their marks, not by colour.
STROKES: tuple[tuple[Any, str], ...] = (("-", "o"), ((0, (6, 2)), "s"), ((0, (1, 1.5)), "^"), ((0, (6, 2, 1, 2)), "D"))

BAND = "nine in ten trials turn here"


class Crossing(NamedTuple):
    """Where the ways cost the same, as a ratio of prices, and the ratio of today."""

    turn: BreakEven
    ratio: float
    today: float


def crossing(found: StudyRecord) -> Crossing | None:
    """None where the ways could not be compared."""
    turn, ratio = found.break_even, found.break_even_ratio
    return None if turn is None or ratio is None else Crossing(turn, float(ratio), float(turn.ratio_today or 0))


def ways_to_draw(found: StudyRecord) -> Crossing | None:
    """Where there are two ways to draw against a price ratio."""
    c = crossing(found)
    return c if c is not None and len(c.turn.lines) > 1 and c.today else None


def ways_names(c: Crossing) -> list[str]:
    """What the chart's legend says."""
    marks = [f"break-even {c.ratio:.2f}", f"today {c.today:.2f}"]
    return [*(line.way for line in c.turn.lines[: len(STROKES)]), *marks, BAND]


def draw_ways(axes: Any, c: Crossing) -> list[tuple[str, Any]]:
    """Net cost of each way against the ratio of prices; the legend's entries."""
    turn, ratio, today = c
    ends = [ratio, today, float(turn.low), float(turn.high)]
    low, high = max(0.0, 0.85 * min(ends)), 1.12 * max(ends)
    entries: list[tuple[str, Any]] = []
    band = axes.axvspan(float(turn.low), float(turn.high), facecolor="0.88", edgecolor="none")
    most = 0.0
    for line, (dash, mark) in zip(turn.lines, STROKES, strict=False):
        xs = [low + k * (high - low) / 4 for k in range(5)]
        ys = [line.fixed + line.thick * x / today for x in xs]
        most = max(most, *ys)
        entries.append(
            (
                line.way,
                axes.plot(xs, ys, linestyle=dash, marker=mark, markevery=[1, 3], markersize=5, color="0", linewidth=1.4)[0],
            )
        )
    at = turn.lines[0].fixed + turn.lines[0].thick * ratio / today
    entries.append((f"break-even {ratio:.2f}", axes.plot([ratio], [at], "o", color="0", markerfacecolor="1", markersize=9)[0]))
    entries.append((f"today {today:.2f}", axes.axvline(today, color="0", linewidth=1.0, linestyle=(0, (2, 2)))))
    entries.append((BAND, band))
    axes.set_xlim(low, high)
    axes.set_ylim(0, 1.05 * most)
    axes.set_xlabel("price of 8/4 over price of thin stock, a board foot")
    axes.set_ylabel("net cost")
    return entries


def has_chance(purchase: PurchaseFound | None) -> TypeGuard[PurchaseFound]:
    """Whether a purchase has a curve of chances to draw."""
    return purchase is not None and len(purchase.curve) > 2


def _measured(curve: Sequence[Sequence[float]], m: Measures) -> list[tuple[float, float]]:
    return [(m.measured(f), c) for f, c in curve]


# Entries of that chart's legend, as wide as they come.
CHANCE_NAMES = ("quick layouts", "plans, 1000 trials", "to buy 10000", "rule of thumb 10000", "asked: short in 99.9 %")


def draw_chance(axes: Any, purchase: PurchaseFound, units: Units = "in") -> list[tuple[str, Any]]:
    """Chance of running short against what is bought, with the purchase, the rule of thumb and the line of the chance asked for;
    the legend's entries."""
    m = Measures(units)
    quick = _measured(purchase.curve, m)
    entries = [
        ("quick layouts", axes.plot([f for f, _ in quick], [100 * (1 - c) for _, c in quick], color="0", linewidth=1.4)[0])
    ]
    plans = purchase.confirmed_by_plans
    most = max(f for f, _ in quick)
    if plans is not None and plans.curve:
        curve = _measured(plans.curve, m)
        most = max(most, *(f for f, _ in curve))
        marks = axes.plot([f for f, _ in curve], [100 * (1 - c) for _, c in curve], "s", linestyle=(0, (6, 2)), color="0",
                          linewidth=1.0, markersize=5)[0]  # fmt: skip
        entries.append((f"plans, {plans.draws} trials", marks))
    feet, chance = m.measured(float(purchase.board_feet)), float(purchase.chance)
    most = max(most, feet)
    bought = m.volume_number(float(purchase.board_feet))
    entries.append(
        (f"to buy {bought}", axes.plot([feet], [100 * (1 - chance)], "o", color="0", markerfacecolor="1", markersize=9)[0])
    )
    thumb = purchase.rule_of_thumb
    if thumb.board_feet:
        at = [m.measured(float(thumb.board_feet))], [100 * (1 - float(thumb.chance))]
        most = max(most, at[0][0])
        by_thumb = m.volume_number(float(thumb.board_feet))
        entries.append((f"rule of thumb {by_thumb}", axes.plot(*at, "X", color="0", markersize=8)[0]))
    axes.set_xlim(0, 1.05 * most)
    axes.set_ylim(-3, 103)
    asked = purchase.chance_asked
    if asked is not None:
        short = 100 * (1 - float(asked))
        entries.append((f"asked: short in {short:g} %", axes.axhline(short, color="0", linewidth=1.0, linestyle=(0, (2, 2)))))
    axes.set_xlabel("cubic metres bought" if m.metric else "board feet bought")
    axes.set_ylabel("runs short, % of trials")
    return entries
