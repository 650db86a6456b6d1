"""The study in words and tables, as printed and as the packet may show it."""

from __future__ import annotations

from collections.abc import Sequence

from yieldopt.lengths import Units, as_typed
from yieldopt.sourcing.findings import WayFigures, best_turning, rack_cost, turning, way_figures
from yieldopt.sourcing.grade_wood import wood_of
from yieldopt.sourcing.study import Study

BY = {"plans": "planned", "estimate": "quick layouts"}


def report(s: Study) -> list[str]:
    """Every finding, the answer first."""
    return [*_rack(s), "", *_ways(s), "", *_turn(s), "", *_purchase(s), "", *_grades(s), "", *_notes(s)]


def table(head: tuple[str, ...], rows: Sequence[tuple[str, ...]]) -> list[str]:
    """Columns as wide as they need, the first to the left, the others to the right."""
    wide = [max(len(r[k]) for r in [head, *rows]) for k in range(len(head))]
    return [
        "  ".join(c.ljust(w) if k == 0 else c.rjust(w) for k, (c, w) in enumerate(zip(r, wide, strict=True)))
        for r in [head, *rows]
    ]


def _rack(s: Study) -> list[str]:
    if s.rack is None:
        return ["The rack is empty: everything is to be bought."]
    if not s.missing:
        return [
            f"The rack has enough: net cost {s.rack.totals.net_cost:.2f}, nothing need be bought to begin.",
            "The ways below are for the whole job as if all of it were bought.",
        ]
    lines = [f"The rack is short of {sum(s.missing.values())} parts (as far as the planner got in its time):"]
    return lines + [f"  {qty} x {part}" for part, qty in s.missing.items()]


def _ways(s: Study) -> list[str]:
    figures = way_figures(s)
    if not figures:
        return ["No way to buy makes every part: " + (", ".join(s.not_offered) or "too many boards would be needed")]
    rows = [_row(s, f) for f in figures]
    return table(("way", "net cost", "+-", "per sq ft", "board feet", "boards", "resaw cuts", "draws", "failed", "by"), rows)


def _row(s: Study, f: WayFigures) -> tuple[str, ...]:
    cost = f.cost.at(1)
    return (
        f.name,
        f"{cost + rack_cost(s):.2f}",
        "-" if f.error is None else f"{f.error:.2f}",
        f"{cost / s.area:.2f}" if s.area else "-",
        f"{f.board_feet:.1f}",
        f"{f.boards:.1f}",
        f"{f.resaw_cuts:.1f}",
        str(f.draws),
        str(f.incomplete),
        BY[f.by],
    )


def _turn(s: Study) -> list[str]:
    t = best_turning(s)
    if s.ratio_today is None:
        return ["No break-even: the price sheet does not offer both 8/4 and thinner stock for any part."]
    if t is None:
        return [f"No break-even: at no price of 8/4 does resawing turn. 8/4 : thin stock today {s.ratio_today:.2f}."]
    error = "" if t.error is None else f" +- {t.error:.2f}"
    verdict = "resawing 8/4 is cheaper" if s.ratio_today < t.ratio else "thin stock is cheaper"
    lines = [
        f"Break-even 8/4 : thin stock, price a board foot: {t.ratio:.2f}{error} ({BY[t.by]}, {t.draws} draws); "
        f"single draws {t.low:.2f} to {t.high:.2f}",
        f"Today {s.ratio_today:.2f}: {verdict} in wood; blade and labour not counted.",
    ]
    other = turning(s, "estimate" if t.by == "plans" else "plans")
    if other is not None:
        lines.append(f"({BY[other.by]}: {other.ratio:.2f} on {other.draws} draws)")
    found = {f.name: f for f in way_figures(s)}
    thin, thick = found.get(s.ways[0].name), found.get(s.ways[1].name)
    if thin and thick and thick.resaw_cuts >= 0.5:
        worth = (thin.cost.at(1) - thick.cost.at(1)) / thick.resaw_cuts
        lines.append(
            f"A resaw cut saves {worth:.2f}; it pays if its minutes cost less."
            if worth > 0
            else f"A resaw cut costs {-worth:.2f} in wood."
        )
    return lines


def _purchase(s: Study) -> list[str]:
    p = s.purchase
    if p is None:
        return [
            f"No purchase was found that suffices in {100 * s.asked.chance:g} % of draws "
            f"({s.hopeless} draws could not be met at all)."
        ]
    lines = [
        f"To buy so that it suffices in {100 * s.asked.chance:g} % of draws: {p.board_feet:.0f} board feet "
        f"(found {100 * p.chance:.1f} % +- {100 * p.error:.1f}, {p.draws} draws, quick layouts)"
    ]
    for k, feet in sorted(p.feet.items()):
        if feet > 0:
            line = s.job.prices[k]
            lines.append(
                f"  {feet:6.1f} bf  {line.species} {line.quarters} {line.grade}, {line.dealer}: about {p.boards[k]} boards"
            )
    if s.thumb_chance is not None and s.missing:
        lines.append(
            f"By rule of thumb (+40 % FAS, +70 % common, of face area): {sum(s.thumb.values()):.0f} board feet; "
            f"suffices in {100 * s.thumb_chance:.0f} %"
        )
    return lines


def _grades(s: Study) -> list[str]:
    rows = []
    for f in sorted(s.figures, key=lambda f: (s.job.prices[f.line].species, f.thickness, f.cost)):
        line = s.job.prices[f.line]
        error = "-" if f.error is None else f"{f.error:.2f}"
        name = f"{line.species} {_size(f.thickness, s.job.units)}: {line.quarters} {line.grade}, {line.dealer}"
        rows.append((name, f"{f.cost:.2f}", error, f"{100 * f.clear_yield:.0f} %", str(len(f.parts))))
    return ["Grades and lines, by thickness of part (quick layouts; parts of that thickness alone):",
            *table(("part stock: line", "per sq ft", "+-", "yield", "parts"), rows)]  # fmt: skip


def _size(thickness: object, units: Units) -> str:
    from fractions import Fraction

    assert isinstance(thickness, Fraction)
    return as_typed(thickness, units)


def _notes(s: Study) -> list[str]:
    unknown = sorted({x.grade for x in s.job.prices if not wood_of(x.grade)[1]})
    lines = [
        "Boards to be bought are drawn, not known. Quick layouts mostly ask for more wood than plans, "
        "for less where a group must come from one board; "
        "planned ways pay only for boards cut.",
    ]
    if s.asked.stress == "unknown":
        lines.append(
            "8/4 of unknown stress: two 5/8 come out of a blank, two 3/4 do not "
            "(--tested says that they are tested and flat). Of 8/4 at 2 in, "
            "each of two layers comes to 0.89 at best, 0.75 to 0.81 usually, 0.59 where it is stressed."
        )
    if unknown:
        lines.append(f"Grades not known, taken as No. 1 Common: {', '.join(g or 'none given' for g in unknown)}")
    if s.not_offered:
        lines.append(f"No line makes: {', '.join(s.not_offered)}")
    return lines
