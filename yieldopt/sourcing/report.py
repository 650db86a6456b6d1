"""The study in words and tables, as printed; `drawing.buying` shows the same figures in the packet."""

from __future__ import annotations

import math
from collections.abc import Sequence
from fractions import Fraction

from yieldopt.lengths import as_typed
from yieldopt.sourcing.findings import (
    WayFigures,
    best_turning,
    labour,
    matching_cost,
    rack_cost,
    turning,
    way_figures,
)
from yieldopt.sourcing.grade_wood import wood_of
from yieldopt.sourcing.studied import Bought, Study
from yieldopt.sourcing.table import table
from yieldopt.sourcing.tell_choice import choice

BY = {"plans": "planned", "estimate": "quick layouts"}


def _by(by: str, draws: int, over: int) -> str:
    """How a figure was got, in a sentence."""
    return f"{BY[by]}, {draws} trials" + (f", carried over to {over}" if over else "")


def report(s: Study) -> list[str]:
    """Every finding, the answer first."""
    parts = [
        _rack(s),
        choice(s),
        _ways(s),
        _risk(s),
        _turn(s),
        _stress(s),
        _pairs(s),
        _bought(s),
        _grades(s),
        _wide(s),
        _notes(s),
    ]
    return [line for some in parts if some for line in (*some, "")][:-1]


def _rack(s: Study) -> list[str]:
    if s.rack is not None and not s.missing:
        return [
            f"The rack has enough: net cost {s.rack.totals.net_cost:.2f}, nothing has to be bought to begin.",
            "The options below are for the whole job as if all of it were bought.",
        ]
    if s.rack is None:
        lines = ["Everything is to be bought:"]
    else:
        lines = [f"The rack is short of {sum(s.missing.values())} parts (as far as the planner got in its time): "
                 + ", ".join(f"{qty} x {part}" for part, qty in s.missing.items()) + "."]  # fmt: skip
    rows = [
        (
            f"{x.species} {x.quarters}" + ("" if x.offered else " (on no price sheet)"),
            str(x.pieces),
            f"{x.square_feet:.1f}",
            f"{x.boards:.1f}",
            f"{x.tally_feet:.0f}",
            str(len(x.parts)),
        )
        for x in s.shortfalls
    ]
    if s.rack is not None and s.whole_job:
        lines.append("None of it could come from thin stock and from 8/4: the options below are for the whole job, all bought.")
    return lines + table(("missing", "pieces", "sq ft rough", "boards", "tally bf", "parts"), rows)


def _ways(s: Study) -> list[str]:
    figures = way_figures(s)
    if not figures:
        return ["No option makes every part: " + (", ".join(s.not_offered) or "too many boards would be needed")]
    head = (
        "way",
        "net cost",
        "+-",
        "per sq ft",
        "bf bought",
        "boards",
        "resaw",
        "rip",
        "cross",
        "pairs",
        "bf kept",
        "trials",
        "failed",
        "by",
    )
    return table(head, [_row(s, f) for f in figures])


def _row(s: Study, f: WayFigures) -> tuple[str, ...]:
    cost = f.cost.at(1)
    planned = f.by == "plans"
    return (
        f.name,
        f"{cost + rack_cost(s):.2f}",
        "-" if f.error is None else f"{f.error:.2f}",
        f"{cost / s.area:.2f}" if s.area else "-",
        f"{f.mean('board_feet'):.1f}",
        f"{f.mean('boards'):.1f}",
        f"{f.mean('resaw_cuts'):.1f}",
        f"{f.mean('rips'):.0f}" if planned else "-",
        f"{f.mean('crosscuts'):.0f}" if planned else "-",
        f"{f.mean('pairs'):.1f}",
        f"{f.mean('kept'):.1f}",
        str(f.draws),
        str(f.incomplete),
        BY[f.by] + (f", cost carried over to {f.over}" if f.over else ""),
    )


def _risk(s: Study) -> list[str]:
    rows = []
    for f in way_figures(s):
        spare = f.total.spare
        if not math.isinf(spare.best):
            figures = tuple(f"{x:+.2f}" for x in (spare.best, spare.typical, spare.stressed))
            rows.append((f.name, f"{f.mean('layers'):.1f}", *figures, f"{f.mean('at_risk'):.1f}"))
    if not rows:
        return []
    return ["Thickness of resawn layers beyond what their parts need, the tightest of all trials, inches:",
            *table(("way", "layers", "best", "typical", "stressed", "too thin if stressed"), rows)]  # fmt: skip


def _turn(s: Study) -> list[str]:
    t = best_turning(s)
    if s.ratio_today is None:
        return ["No break-even: the price sheet does not offer both 8/4 and thinner stock for any part."]
    if t is None:
        return [f"No break-even: resawing never pays, whatever 8/4 costs. 8/4 : thin stock today {s.ratio_today:.2f}."]
    error = "" if t.error is None else f" +- {t.error:.2f}"
    verdict = "8/4 is cheaper" if s.ratio_today < t.ratio else "thin stock is cheaper"
    lines = [
        f"Break-even 8/4 : thin stock, price a board foot: {t.ratio:.2f}{error} ({_by(t.by, t.draws, t.over)}); "
        f"nine in ten single trials {t.low:.2f} to {t.high:.2f}.",
        f"Today {s.ratio_today:.2f}: {verdict} in wood, blade and labour not counted; so in {100 * t.agree:.0f} % of trials "
        f"(+- {100 * t.agree_error:.0f}).",
    ]
    other = turning(s, "estimate" if t.by == "plans" else "plans")
    if other is not None:
        lines.append(f"({BY[other.by]}: {other.ratio:.2f} on {other.draws} trials)")
    if not s.resaws:
        lines.append("Of the 8/4 each of these parts comes in one layer: nothing is resawn, the rest is planed away.")
    return lines + _labour(s)


# Names in one sentence.
NAMES = 6


def _names(names: Sequence[str]) -> str:
    more = len(names) - NAMES
    return ", ".join(names[:NAMES]) + (f" and {more} more" if more > 0 else "")


def _stress(s: Study) -> list[str]:
    lines = []
    if s.if_tested:
        lines.append(
            f"The stress of the 8/4 decides for: {_names(s.if_tested)}. Tested and flat (--tested), it gives more layers "
            "of these."
        )
    if s.sets_if_tested:
        lines.append(
            f"The stress of the 8/4 decides for the matched sets of {_names(s.sets_if_tested)}: of unknown stress only boards "
            "well over nominal thickness give them; buy tested ones (--tested)."
        )
    return lines


def _labour(s: Study) -> list[str]:
    found = labour(s)
    if found is None:
        return []
    if found.worth <= 0:
        lines = [f"A resaw pass costs {-found.worth:.2f} in wood, before any minute is counted."]
    else:
        at = ", ".join(f"{m:.0f} minutes where an hour is worth {h:g}" for h, m in found.minutes)
        lines = [f"A resaw pass saves {found.worth:.2f} in wood: it breaks even at {at}."]
    if found.total_minutes is not None:
        cost = "" if found.cost is None else f", {found.cost:.2f} at your hour"
        lines.append(f"By your {s.asked.minutes:g} minutes a pass the passes more take {found.total_minutes:.0f} minutes{cost}.")
    return lines


def _pairs(s: Study) -> list[str]:
    m = matching_cost(s)
    if m is None:
        return []
    error = "" if m.error is None else f" +- {m.error:.2f}"
    verb = "cost" if m.cost >= 0 else "save"
    return [
        f"The job's matched sets {verb} {abs(m.cost):.2f}{error} against the same parts unmatched ({_by(m.by, m.draws, m.over)})."
    ]


def _bought(s: Study) -> list[str]:
    lines = []
    if s.bought is not None:
        what = "To buy so that it is enough" if s.missing else "To have spares for hidden flaws"
        lines += _purchase(s, s.bought, what)
    if s.bought_whole is not None:
        lines += _purchase(s, s.bought_whole, "For the whole job, as if all of it were bought")
    return lines


def _purchase(s: Study, b: Bought, what: str) -> list[str]:
    p, c = b.purchase, b.confirmed
    if p is None:
        return [f"{what}: no purchase was found that is enough in {100 * s.asked.chance:g} % of trials "
                f"({b.needs.hopeless} of {b.needs.draws} trials could not be met at all)."]  # fmt: skip
    planned = c is not None and c.enough_draws and c.feet is not None
    quick = f"{p.board_feet:.0f} board feet by quick layouts ({100 * p.chance:.1f} % +- {100 * p.error:.1f}, {p.draws} trials)"
    feet = p.feet
    if planned and c is not None and c.feet is not None:
        feet = c.feet
        answer = (
            f"{sum(feet.values()):.0f} board feet (found {100 * c.least_chance:.0f} % +- {100 * c.least_error:.0f}, planned on "
            f"{c.draws} trials, carried over to {p.draws})"
        )
    else:
        answer = quick
    lines = [f"{what}, in {100 * s.asked.chance:g} % of trials: {answer}"]
    for k, some in sorted(feet.items()):
        if some > 0:
            line = s.job.prices[k]
            boards = max(1, round(p.boards[k] * some / p.feet[k]))
            lines.append(f"  {some:6.1f} bf  {line.species} {line.quarters} {line.grade}, {line.dealer}: about {boards} boards")
    money = sum(f * float(s.job.prices[k].price_bf + s.job.prices[k].surfacing_bf) for k, f in feet.items())
    lines.append(f"  About {money:.0f} to pay, before surcharges; what is left over of it stays on the rack.")
    if planned:
        lines.append(f"  ({quick})")
    elif c is not None:
        few = (
            f" +- {100 * c.error:.0f}; too few to rely on, give it more --seconds"
            if not c.enough_draws
            else f" +- {100 * c.error:.0f}"
        )
        lines.append(
            f"  In its time the planner made every part from it in {100 * c.chance:.0f} %{few} ({c.draws} trials planned)."
        )
        if c.feet is not None and sum(c.feet.values()) < p.board_feet - 0.5:
            lines.append(f"  By these plans {sum(c.feet.values()):.0f} board feet would do.")
    if sum(b.thumb.values()):
        lines.append(
            f"  By rule of thumb (+40 % FAS, +70 % common, of face area): {sum(b.thumb.values()):.0f} board feet; "
            f"enough in {100 * b.thumb_chance:.0f} % of trials by quick layouts."
        )
    return lines


def _grades(s: Study) -> list[str]:
    rows = []
    for f in sorted(s.grades, key=lambda f: (s.job.prices[f.line].species, f.nominal, f.cost)):
        line = s.job.prices[f.line]
        error = "-" if f.error is None else f"{f.error:.2f}"
        name = f"{line.species}, parts from {f.nominal * 4}/4: {line.quarters} {line.grade}, {line.dealer}"
        rows.append((name, f"{f.cost:.2f}", error, f"{100 * f.clear_yield:.0f} %", str(len(f.parts)), str(f.draws), BY[f.by]))
    if not rows:
        return []
    return ["Grades: each line for all parts that need no thicker class, the cheapest first:",
            *table(("line", "per sq ft", "+-", "yield", "parts", "trials", "by"), rows)]  # fmt: skip


def _wide(s: Study) -> list[str]:
    rows: list[Sequence[str]] = []
    for w in s.wide:
        strip = as_typed(Fraction(w.strip).limit_denominator(64), s.job.units)
        how = f" ({strip} {s.job.units} of {w.other})" if w.strip and not w.why else ""
        how += f" (boards rare: x {w.rare:.1f})" if w.rare > 1.05 and not w.why else ""
        name = f"{w.part}: {w.way}{how}"
        if w.cost is None:
            rows.append((name, "-", "-", "-", str(w.joints), "-", w.why))
        else:
            error = "-" if w.error is None else f"{w.error:.2f}"
            rows.append((name, f"{w.cost:.2f}", error, f"{w.board_feet:.1f}", str(w.joints), str(w.draws), BY[w.by]))
    if not rows:
        return []
    return ["Wide parts, net cost of all copies, glue and clamping not counted:",
            *table(("part: option", "cost", "+-", "bf", "joints", "trials", "by, or why not"), rows)]  # fmt: skip


def _notes(s: Study) -> list[str]:
    unknown = sorted({x.grade for x in s.job.prices if not wood_of(x.grade)[1]})
    lines = [
        "Boards still to be bought are made up at random. Quick layouts mostly ask for more wood than plans, for less where a "
        "group must come from one board; planned options pay only for boards cut.",
    ]
    if s.asked.stress == "unknown":
        lines.append(
            "8/4 is taken as of unknown stress: two 5/8 come out of a blank, two 3/4 do not (--tested says that it is tested and "
            "flat). Of 8/4 at 2 in, each of two layers comes to 0.89 at best, 0.75 to 0.81 usually, 0.59 where it is stressed."
        )
    if unknown:
        lines.append(f"Grades not known, taken as No. 1 Common: {', '.join(g or 'none given' for g in unknown)}")
    if s.not_offered:
        lines.append(f"No line makes: {', '.join(s.not_offered)}")
    return lines
