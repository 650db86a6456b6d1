"""What to buy, as one view in the packet: the figures of a study, where the study has been made."""

from __future__ import annotations

from collections.abc import Sequence
from functools import partial
from typing import Protocol

from yieldopt.drawing.charts.buycharts import CHANCE_NAMES, crossing, draw_chance, draw_ways, has_chance, ways_names, ways_to_draw
from yieldopt.drawing.charts.charts import lay_chart
from yieldopt.drawing.page.flow import Column, Flow
from yieldopt.drawing.page.primitives import Page
from yieldopt.drawing.setting import Setting
from yieldopt.drawing.words.buyingwords import Measures, second_choice_words
from yieldopt.drawing.words.purchasewords import FIGURE_HEAD, FIGURE_NOTE, figure_rows, fresh_words
from yieldopt.records.purchase import By
from yieldopt.records.study import Choice, StudyRecord

# What a figure rests on, short enough for a column.
BY = {"plans": "plans", "estimate": "quick"}
HEIGHT = 180.0
# Names in one sentence.
NAMES = 8


def buying_pages(s: Setting) -> list[Page]:
    """The pages; none where no study was handed to the packet."""
    found = s.buying
    if found is None:
        return []
    flow = Flow(s.paper, s.running("What to buy", "buying"))
    flow.paragraph(
        "Boards still to be bought are made up at random within the dealers' sizes: every figure is a mean over trials. "
        "'plans' are the planner's own; 'quick' are layouts board after board, which mostly ask for more wood. 'over' a number: "
        "what plans save against quick layouts on their trials, taken off the quick layouts' mean over so many."
    )
    _missing(flow, found)
    _choice(flow, found.choice, Measures(found.units))
    _purchase(flow, found)
    _ways(flow, found)
    _turn(flow, found)
    _grades(flow, found)
    _wide(flow, found)
    return flow.finish()


def _figure(value: float | None, digits: int = 2) -> str:
    return "-" if value is None else f"{float(value):.{digits}f}"


class Drawn(Protocol):
    """A figure that rests on draws."""

    @property
    def by(self) -> By: ...
    @property
    def draws(self) -> int | None: ...
    @property
    def carried_over_to(self) -> int: ...


def _by(x: Drawn) -> str:
    """How a figure was got, on how many draws, carried over to how many."""
    over = f" over {x.carried_over_to}" if x.carried_over_to else ""
    return BY[x.by] + (f", {x.draws}{over}" if x.draws is not None else "")


def _missing(flow: Flow, found: StudyRecord) -> None:
    m = Measures(found.units)
    rows = [
        (
            f"{x.species} {x.quarters}" + ("" if x.offered else f", {x.why_not_offered or 'on no price sheet'}"),
            str(x.pieces),
            m.area_number(x.square_feet),
            _figure(x.boards, 1),
            m.volume_number(x.tally_board_feet),
        )
        for x in found.missing_wood
    ]
    if rows:
        flow.heading("Missing on the rack, in boards of the dealers' ranges")
        flow.table(
            [Column("wood", True), Column("pieces"), Column(f"{m.area}, rough"), Column("boards"), Column(f"{m.volume}, tally")],
            rows,
        )
    elif found.rack_has_enough:
        flow.heading("The rack")
        flow.paragraph("The rack has enough. The options below are for the whole job, as if all of it were bought.")


def _choice(flow: Flow, choice: Choice | None, m: Measures) -> None:
    if choice is None or not choice.boards:
        return
    flow.heading("Boards to take, of those logged at the dealer's")
    bound = "" if choice.bound is None else f"; no set can cost less than {_figure(choice.bound)}"
    flow.paragraph(f"To pay {_figure(choice.to_pay)}{bound}.")
    second = {i.gone: i for i in choice.second_choices}
    rows = []
    for b in choice.boards:
        i = second.get(b.board)
        take = leave = more = ""
        if i is not None:
            take, leave, more = second_choice_words(i.take, i.without, i.more)
        rows.append((b.board, m.volume_number(b.board_feet, 1), _figure(b.cost), take, leave, more))
    flow.table(
        [
            Column("board", True),
            Column("m³" if m.metric else "board feet"),
            Column("cost"),
            Column("if gone, take"),
            Column("and leave"),
            Column("more"),
        ],
        rows,
    )


def _purchase(flow: Flow, found: StudyRecord) -> None:
    whole = "To buy for the whole job, as if there were no rack"
    for p, title in ((found.purchase, "To buy"), (found.purchase_whole_job, whole)):
        if p is None:
            continue
        m = Measures(found.units)
        flow.heading(f"{title}: {m.in_volume(p.board_feet)}")
        flow.paragraph(
            f"Enough in {100 * p.chance:.0f} % of {p.draws} trials ({BY[p.by]}), hidden flaws allowed for. By rule "
            f"of thumb {m.in_volume(p.rule_of_thumb.board_feet)}, which are enough in "
            f"{100 * p.rule_of_thumb.chance:.0f} %."
        )
        for line in fresh_words(p):
            flow.paragraph(line)
        rows = [
            (f"{x.species} {x.quarters} {x.grade}", x.dealer, m.volume_number(x.board_feet, 1), str(x.boards)) for x in p.lines
        ]
        if rows:
            flow.table([Column("wood", True), Column("dealer"), Column(m.volume), Column("about boards")], rows)
        if rows and p.parts_of_the_figure is not None:
            flow.table([Column(FIGURE_HEAD[0], True), *map(Column, FIGURE_HEAD[1:])], figure_rows(p, m))
            flow.paragraph(FIGURE_NOTE)
        if has_chance(p) and p.board_feet:
            flow.heading("Chance of running short", keep=HEIGHT + 60)
            lay_chart(flow, HEIGHT, CHANCE_NAMES, partial(draw_chance, purchase=p, units=m.units))


def _a_foot(money: float | None, m: Measures) -> str:
    return "-" if money is None else f"{m.a_foot(float(money)):.2f}"


def _ways(flow: Flow, found: StudyRecord) -> None:
    m = Measures(found.units)
    rows: list[Sequence[str]] = []
    for w in found.ways:
        spare = w.least_thickness_to_spare
        rows.append(
            (
                w.name,
                _figure(w.net_cost),
                _a_foot(w.cost_per_square_foot, m),
                m.volume_number(w.board_feet_bought),
                _figure(w.boards, 0),
                _figure(w.resaw_cuts, 0),
                _figure(w.matched_pairs, 0),
                "-" if w.kept_board_feet is None else m.volume_number(w.kept_board_feet),
                "-" if spare is None else " ".join(m.thickness(t) for t in (spare.best, spare.typical, spare.stressed)),
                _by(w),
            )
        )
    flow.heading("The options")
    flow.table(
        [
            Column("option", True),
            Column("net cost"),
            Column(f"a {m.area}"),
            Column(f"{m.volume} bought"),
            Column("boards"),
            Column("resaw cuts"),
            Column("pairs"),
            Column(f"{m.volume} kept"),
            Column(f"layers to spare, {m.units}: best, usual, stressed", least=88),
            Column("by, trials"),
        ],
        rows,
    )
    pairs = found.matched_pairs
    if pairs is not None:
        flow.paragraph(f"The matched sets cost {_figure(pairs.cost)} against the same parts unmatched ({_by(pairs)} trials).")


def _turn(flow: Flow, found: StudyRecord) -> None:
    c, resaw = crossing(found), found.resaw_pass
    if c is None:
        return
    turn = c.turn
    flow.heading("Resaw 8/4 or buy thin", keep=HEIGHT + 110)
    error = "" if turn.standard_error is None else f" ± {turn.standard_error:.2f}"
    cheaper = "8/4 is cheaper" if c.today < c.ratio else "thin stock is cheaper"
    flow.paragraph(
        f"Break-even: 8/4 at {c.ratio:.2f}{error} times the price of thin stock ({_by(turn)} "
        f"trials). Today {c.today:.2f}: {cheaper} in wood, in {100 * turn.draws_that_agree:.0f} % of trials."
    )
    decides = [*turn.more_layers_if_tested, *turn.sets_only_if_tested]
    if decides:
        more = f" and {len(decides) - NAMES} more" if len(decides) > NAMES else ""
        flow.paragraph("The stress of the 8/4 decides for: " + ", ".join(decides[:NAMES]) + more + ".")
    if resaw is not None:
        worth = float(resaw.saves)
        flow.paragraph(
            f"A resaw pass saves {worth:.2f} in wood: "
            + ", ".join(f"{m.minutes:.0f} minutes where an hour is worth {m.hourly:g}" for m in resaw.break_even_minutes)
            + "."
            if worth > 0
            else f"A resaw pass costs {-worth:.2f} in wood, before any minute is counted."
        )
    ways = ways_to_draw(found)
    if ways is not None:
        lay_chart(flow, HEIGHT, ways_names(ways), partial(draw_ways, c=ways))


def _grades(flow: Flow, found: StudyRecord) -> None:
    m = Measures(found.units)
    rows = [
        (
            f"{g.species}, from {g.class_name or format(4 * g.least_class, 'g') + '/4'}",
            f"{g.quarters} {g.grade}, {g.dealer}",
            _a_foot(g.cost_per_square_foot, m),
            f"{100 * g.clear_yield:.0f} %",
            f"{BY[g.by]}, {g.draws}",
        )
        for g in sorted(found.grades, key=lambda g: (g.species, g.least_class, g.cost_per_square_foot))
    ]
    if rows:
        flow.heading("Grades for this job's parts")
        flow.table(
            [Column("parts", True), Column("bought as"), Column(f"a {m.area}"), Column("clear yield"), Column("by, trials")], rows
        )


def _wide(flow: Flow, found: StudyRecord) -> None:
    m = Measures(found.units)
    rows = [
        (
            w.part,
            w.way + (f": {m.length(w.strip)} of {w.strip_species}" if w.strip and not w.why_not else ""),
            _figure(w.cost),
            str(w.joints),
            w.why_not or f"{BY[w.by]}, {w.draws}",
        )
        for w in found.wide_parts
    ]
    if rows:
        flow.heading("Wide parts")
        flow.table([Column("part", True), Column("option"), Column("cost"), Column("joints"), Column("by, or why not")], rows)
