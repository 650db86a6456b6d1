"""The study in words and tables, as printed; `drawing.buying` shows the same figures in the packet."""

from __future__ import annotations

import math
from collections.abc import Sequence
from fractions import Fraction

from yieldopt.drawing.words.buyingwords import Measures
from yieldopt.drawing.words.purchasewords import either_words, tested_words
from yieldopt.ground.lengths import as_typed
from yieldopt.luck.grade_wood import wood_of
from yieldopt.records.purchase import By
from yieldopt.records.study import StudyRecord
from yieldopt.sourcing.lay.classes import class_name
from yieldopt.sourcing.studied import Study
from yieldopt.sourcing.told.choice_told import choice
from yieldopt.sourcing.told.columns_told import table
from yieldopt.sourcing.told.findings import WayFigures, best_turning, labour, matching_cost, rack_cost, turning, way_figures
from yieldopt.sourcing.told.purchase_told import purchases
from yieldopt.sourcing.told.record import record
from yieldopt.sourcing.ways.question import BOTH_NAME

BY = {"plans": "planned", "estimate": "quick layouts"}


def _by(by: By, draws: int, over: int) -> str:
    """How a figure was got, in a sentence."""
    return f"{BY[by]}, {draws} trials" + (f", carried over to {over}" if over else "")


def report(s: Study, found: StudyRecord | None = None) -> list[str]:
    """Every finding, the answer first; `found` is its record, where that is at hand."""
    found = found or record(s)
    parts = [
        _refused(s),
        _rack(s),
        [*choice(s), *either_words(found.either)],
        _ways(s),
        _risk(s),
        _turn(s),
        [*_stress(s), *tested_words(found.if_all_tested)],
        _pairs(s),
        purchases(s, found),
        _grades(s),
        _wide(s),
        _notes(s),
    ]
    return [line for some in parts if some for line in (*some, "")][:-1]


def _refused(s: Study) -> list[str]:
    """What can't be bought comes first: all that follows leaves it out."""
    if not s.question.not_offered:
        return []
    counts = s.question.counts
    found = [f"  {counts.get(part, 0)} x {part}: {why}" for part, why in s.question.not_offered.items()]
    return ["No line of the price sheets makes these; all figures below are for the other parts:", *found]


def _rack(s: Study) -> list[str]:
    if s.question.on_rack.plan is not None and not s.question.on_rack.missing:
        return [
            f"The rack has enough: net cost {s.question.on_rack.plan.totals.net_cost:.2f}, nothing has to be bought to begin.",
            "The options below are for the whole job as if all of it were bought.",
        ]
    if s.question.on_rack.plan is None:
        lines = ["Everything is to be bought:"]
    else:
        short = s.question.on_rack.missing
        lines = [f"The rack is short of {sum(short.values())} parts (as far as the planner got in its time): "
                 + ", ".join(f"{qty} x {part}" for part, qty in short.items()) + "."]  # fmt: skip
    m = Measures(s.job.units)
    rows = [
        (
            f"{x.species} {x.quarters}" + (f" ({x.why})" if x.why else ""),
            str(x.pieces),
            m.area_number(x.square_feet),
            f"{x.boards:.1f}",
            m.volume_number(x.tally_feet),
            str(len(x.parts)),
        )
        for x in s.question.shortfalls
    ]
    if s.question.on_rack.plan is not None and s.question.whole_job:
        lines.append("None of it could come from thin stock and from 8/4: the options below are for the whole job, all bought.")
    return lines + table(("missing", "pieces", f"{m.area} rough", "boards", f"tally {m.volume}", "parts"), rows)


def _ways(s: Study) -> list[str]:
    figures = way_figures(s)
    if not figures:
        return ["No option makes every part: " + (", ".join(s.question.not_offered) or "too many boards would be needed")]
    m = Measures(s.job.units)
    head = (
        "option",
        "net cost",
        "+-",
        f"per {m.area}",
        f"{m.volume} bought",
        "boards",
        "resaw",
        "rip",
        "cross",
        "pairs",
        f"{m.volume} kept",
        "trials",
        "failed",
        "by",
    )
    return [*table(head, [_row(s, f) for f in figures]), *_mixed(s, figures)]


def _mixed(s: Study, figures: Sequence[WayFigures]) -> list[str]:
    """What the way with both stocks on offer rests on."""
    both = next((f for f in figures if f.name == BOTH_NAME), None)
    if both is None or both.by != "plans":
        return []
    draws = [(o, s.planned.get((0, d))) for (w, d), o in s.planned.items() if s.question.ways[w].name == BOTH_NAME and o.complete]
    cut = sum(first is not None and o.cost.thick > first.cost.thick + CENT for o, first in draws)
    if not cut:
        none = "no more 8/4 was cut than the first option needs; to have it on offer saved nothing"
        return [f"{BOTH_NAME}: in {both.draws} trials {none}."]
    cost = "its cost is the first option's less what it saved on these"
    return [f"{BOTH_NAME}: cut more 8/4 in {cut} of {both.draws} trials; {cost}."]


def _row(s: Study, f: WayFigures) -> tuple[str, ...]:
    cost, m = f.cost.at(1), Measures(s.job.units)
    planned = f.by == "plans"
    return (
        f.name,
        f"{cost + rack_cost(s):.2f}",
        "-" if f.error is None else f"{f.error:.2f}",
        f"{m.a_foot(cost / s.question.area):.2f}" if s.question.area else "-",
        m.volume_number(f.mean("board_feet"), 1),
        f"{f.mean('boards'):.1f}",
        f"{f.mean('resaw_cuts'):.1f}",
        f"{f.mean('rips'):.0f}" if planned else "-",
        f"{f.mean('crosscuts'):.0f}" if planned else "-",
        f"{f.mean('pairs'):.1f}",
        m.volume_number(f.mean("kept"), 1),
        str(f.draws),
        str(f.incomplete),
        BY[f.by] + (f", cost carried over to {f.over}" if f.over else ""),
    )


def _risk(s: Study) -> list[str]:
    rows = []
    for f in way_figures(s):
        spare = f.total.spare
        if not math.isinf(spare.best):
            figures = tuple(map(Measures(s.job.units).thickness, (spare.best, spare.typical, spare.stressed)))
            rows.append((f.name, f"{f.mean('layers'):.1f}", *figures, f"{f.mean('at_risk'):.1f}"))
    if not rows:
        return []
    long = "mm" if s.job.units == "mm" else "inches"
    return [f"Thickness of resawn layers beyond what their parts need, the tightest of all trials, {long}:",
            *table(("option", "layers", "best", "typical", "stressed", "too thin if stressed"), rows)]  # fmt: skip


def _turn(s: Study) -> list[str]:
    t = best_turning(s)
    if s.question.ratio_today is None:
        return ["No break-even: the price sheet does not offer both 8/4 and thinner stock for any part."]
    if t is None:
        return [f"No break-even: resawing never pays, whatever 8/4 costs. 8/4 : thin stock today {s.question.ratio_today:.2f}."]
    error = "" if t.error is None else f" +- {t.error:.2f}"
    verdict = "8/4 is cheaper" if s.question.ratio_today < t.ratio else "thin stock is cheaper"
    lines = [
        f"Break-even 8/4 : thin stock, price a board foot: {t.ratio:.2f}{error} ({_by(t.by, t.draws, t.over)}); "
        f"nine in ten single trials {t.low:.2f} to {t.high:.2f}.",
        f"Today {s.question.ratio_today:.2f}: {verdict} in wood, blade and labour not counted; so in {100 * t.agree:.0f} % of "
        f"trials (+- {100 * t.agree_error:.0f}).",
    ]
    other = turning(s, "estimate" if t.by == "plans" else "plans")
    if other is not None:
        lines.append(f"({BY[other.by]}: {other.ratio:.2f} on {other.draws} trials)")
        if abs(other.ratio - t.ratio) > APART * max(other.ratio, t.ratio):
            lines.append(
                "Quick layouts and plans differ here by more than the +- says: it is the error of making up boards alone, not of "
                "how they are laid out. Plans are the nearer to what you would cut."
            )
    if not s.question.resaws:
        lines.append("Of the 8/4 each of these parts comes in one layer: nothing is resawn, the rest is planed away.")
    return lines + _labour(s)


# What two layers out of 8/4 come to, in either measure: see `thickness`.
LAYERS = ("5/8", "3/4", "2 in", "0.89 at best, 0.75 to 0.81 usually, 0.59")
METRIC_LAYERS = ("16 mm", "19 mm", "51 mm", "22.6 mm at best, 19.0 to 20.6 usually, 15.0")
# Money less than this is none.
CENT = 0.005
# Break-evens this far apart, as a share, are said to differ.
APART = 0.1
# Names in one sentence.
NAMES = 6


def _names(names: Sequence[str]) -> str:
    more = len(names) - NAMES
    return ", ".join(names[:NAMES]) + (f" and {more} more" if more > 0 else "")


def _stress(s: Study) -> list[str]:
    lines = []
    if s.question.if_tested:
        lines.append(
            f"The stress of the 8/4 decides for: {_names(s.question.if_tested)}. Tested and flat (--tested), it gives more "
            "layers of these."
        )
    if s.question.sets_if_tested:
        lines.append(
            f"The stress of the 8/4 decides for the matched sets of {_names(s.question.sets_if_tested)}: of unknown stress only "
            "boards well over nominal thickness give them; buy tested ones (--tested)."
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


def _grades(s: Study) -> list[str]:
    rows, m = [], Measures(s.job.units)
    for f in sorted(s.grades, key=lambda f: (s.job.prices[f.line].species, f.nominal, f.cost)):
        line = s.job.prices[f.line]
        error = "-" if f.error is None else f"{m.a_foot(f.error):.2f}"
        name = f"{line.species}, parts from {class_name(f.nominal)}: {line.quarters} {line.grade}, {line.dealer}"
        cost = f"{m.a_foot(f.cost):.2f}"
        rows.append((name, cost, error, f"{100 * f.clear_yield:.0f} %", str(len(f.parts)), str(f.draws), BY[f.by]))
    if not rows:
        return []
    return ["Grades: each line for all parts that need no thicker class, the cheapest first:",
            *table(("line", f"per {m.area}", "+-", "yield", "parts", "trials", "by"), rows)]  # fmt: skip


def _wide(s: Study) -> list[str]:
    rows: list[Sequence[str]] = []
    m = Measures(s.job.units)
    for w in s.wide:
        strip = as_typed(Fraction(w.strip).limit_denominator(64), s.job.units)
        how = f" ({strip} {s.job.units} of {w.other})" if w.strip and not w.why else ""
        how += f" (boards rare: x {w.rare:.1f})" if w.rare > 1.05 and not w.why else ""
        name = f"{w.part}: {w.way}{how}"
        if w.cost is None:
            rows.append((name, "-", "-", "-", str(w.joints), "-", w.why))
        else:
            error = "-" if w.error is None else f"{w.error:.2f}"
            rows.append((name, f"{w.cost:.2f}", error, m.volume_number(w.board_feet, 1), str(w.joints), str(w.draws), BY[w.by]))
    if not rows:
        return []
    return ["Wide parts, net cost of all copies, glue and clamping not counted:",
            *table(("part: option", "cost", "+-", m.volume, "joints", "trials", "by, or why not"), rows)]  # fmt: skip


def _notes(s: Study) -> list[str]:
    unknown = sorted({x.grade for x in s.job.prices if not wood_of(x.grade)[1]})
    lines = [
        "Boards still to be bought are made up at random. Quick layouts mostly ask for more wood than plans, for less where a "
        "group must come from one board; planned options pay only for boards cut.",
    ]
    if s.asked.stress == "unknown":
        thin, thick, nominal, layers = METRIC_LAYERS if s.job.units == "mm" else LAYERS
        lines.append(
            f"8/4 is taken as of unknown stress: two {thin} come out of a blank, two {thick} do not (--tested says that it is "
            f"tested and flat). Of 8/4 at {nominal}, each of two layers comes to {layers} where it is stressed."
        )
    if unknown:
        lines.append(f"Grades not known, taken as No. 1 Common: {', '.join(g or 'none given' for g in unknown)}")
    if s.question.not_replaced:
        names = _names(s.question.not_replaced)
        lines.append(f"No line makes these again, should the rack's wood for them turn out bad: {names}.")
    return lines
