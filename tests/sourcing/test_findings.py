"""Every question of the study answered on jobs that can be worked by hand."""

from __future__ import annotations

from concurrent.futures import ThreadPoolExecutor
from dataclasses import replace
from fractions import Fraction as F

import pytest
from bench.sourcing import calibration, settling
from by_hand import BOTH, NO_END, added, line, slats, studied

from yieldopt.ground.deadline import Deadline
from yieldopt.ground.errors import UsageError
from yieldopt.luck.bill import bundle_rest
from yieldopt.records.studyfile import dumps, loads
from yieldopt.sourcing.asked import Asked
from yieldopt.sourcing.lay.quick import lay_out
from yieldopt.sourcing.lay.rest import again, besides, spares, whose
from yieldopt.sourcing.lay.wants import wants_of
from yieldopt.sourcing.market.lines import Market, rarity
from yieldopt.sourcing.market.shortfall import shortfalls
from yieldopt.sourcing.purchase.cheaper import cheaper_lines
from yieldopt.sourcing.purchase.needs import Basis
from yieldopt.sourcing.studied import Study
from yieldopt.sourcing.told.everything import report
from yieldopt.sourcing.told.findings import estimates, labour, matching_cost, turning
from yieldopt.sourcing.told.record import record
from yieldopt.sourcing.ways.grading import groups, quick_rows
from yieldopt.sourcing.ways.outcome import Outcome
from yieldopt.sourcing.ways.question import THICK_NAME, THIN_NAME, OnRack, Question
from yieldopt.sourcing.ways.turning import Cost
from yieldopt.sourcing.ways.way import Way, quick_outcome
from yieldopt.sourcing.ways.wide import GLUED, ONE, STRIP, wide_cases
from yieldopt.wood.lumber import Board, Job, Part
from yieldopt.wood.plan import Piece
from yieldopt.workers.runner import Runner


def market(job: Job, **more: object) -> Market:
    return replace(Market(job.prices, job.shop, 0, 0.0), **more)


def test_missing_wood_by_species_and_class() -> None:
    """12 slats: three boards of 6 by 96 in, 4 board feet each by the grading rules' tally (6 x 8 / 12 = 4)."""
    job = slats(F(3, 4), 12, *BOTH)
    (row,) = shortfalls(market(job), wants_of(job.parts, job.shop), {"slat": 0})
    assert (row.species, row.quarters, row.pieces, row.boards, row.tally_feet, row.offered) == ("oak", "4/4", 12, 3, 12, True)
    assert row.square_feet == pytest.approx(12 * 6 * 22.5 / 144)


def test_missing_wood_that_no_dealer_has() -> None:
    job = replace(slats(F(5, 4), 4, line("4/4", F(1), 4)), parts=(Part("leg", 4, "elm", F(5, 4), F(2), F(20)),))
    (row,) = shortfalls(market(job), wants_of(job.parts, job.shop), {})
    assert (row.species, row.quarters, row.offered) == ("elm", "6/4", False)  # 1 1/4 and two faces: 1 7/16
    assert row.boards >= 1


def test_pairs_and_layers_are_counted() -> None:
    """Two 8/4 boards give 16 slats of 5/8 in eight blanks of two layers: eight pairs; 1/16 in to spare at best, by hand."""
    job = slats(F(5, 8), 16, *BOTH)
    found = quick_outcome(market(job), Way("", {"slat": 1}), wants_of(job.parts, job.shop), 0)
    assert (found.boards, found.pairs, found.resaw_cuts, found.layers, found.at_risk) == (2, 8, 8, 16, 16)
    # 2 - two rough faces of 3/32 - kerf 1/16 - two sawn faces of 1/16 = 1 5/8, less 1 1/4: 3/16 a layer, less half the spare.
    assert found.spare.typical == pytest.approx(3 / 16 - 1 / 16)
    assert found.spare.stressed == pytest.approx(3 / 16 - 7 / 32)


def hand_made(minutes: float | None, hourly: float | None, thick: float = 60.0) -> Study:
    """Two ways, three draws alike: 100 thin, `thick` by four resaw passes."""
    ways = (Way(THIN_NAME, {}), Way(THICK_NAME, {}))
    question = Question(slats(F(5, 8), 16, *BOTH), OnRack(None, {"slat": 16}), ways=ways, ratio_today=1.25)
    quick = [[Outcome(Cost(100, 0), 1, 1)] * 3, [Outcome(Cost(0, thick), 1, 1, resaw_cuts=4)] * 3]
    return Study(Asked(minutes=minutes, hourly=hourly), question, quick)


def test_break_even_minutes() -> None:
    """40 saved by four passes are 10 a pass: 20 minutes where an hour is worth 30."""
    found = labour(hand_made(None, 30))
    assert found is not None
    assert (found.worth, found.minutes, found.cost) == (10, ((30, 20.0),), None)
    own = labour(hand_made(15, 30))
    assert own is not None
    assert (own.total_minutes, own.cost) == (60, 30)
    dearer = labour(hand_made(None, None, 140))
    assert dearer is not None
    assert dearer.worth == -10


def test_how_sure_the_side_of_todays_price_is() -> None:
    s = hand_made(None, None)
    s.quick[1] = [Outcome(Cost(0, c), 1, 1) for c in (60, 80, 130)]
    found = turning(s, "estimate")
    assert found is not None
    assert found.ratio == pytest.approx(1.25 * 300 / 270)
    assert found.agree == pytest.approx(2 / 3)


def test_what_matched_pairs_cost() -> None:
    """Eight book pairs of 5/8: two boards of 8/4 at 40; unmatched four boards of 4/4 at 16. Nothing is left to keep."""
    job = slats(F(5, 8), 16, *BOTH)
    job = replace(job, parts=(replace(job.parts[0], match="pairs", match_kind="book"),))
    s = studied(job, Asked(draws=20, hidden=0), "planned: thin")
    found = matching_cost(s)
    assert found is not None
    assert found.cost == pytest.approx(80 - 64)
    assert found.pairs == 8
    assert any("matched sets cost 16.00" in text for text in report(s))


def test_stress_is_told_where_it_decides() -> None:
    s = studied(slats(F(3, 4), 16, *BOTH), Asked(draws=20, hidden=0), "planned: ")
    assert s.question.if_tested == ("slat",)
    assert not s.question.resaws
    assert any("stress of the 8/4 decides for: slat" in text for text in report(s))
    assert studied(slats(F(5, 8), 16, *BOTH), Asked(draws=20, hidden=0), "planned: ").question.if_tested == ()


def test_a_bundle_is_paid_for_whole() -> None:
    """16 board feet of 40 at 4: 96 more, of which six tenths are kept."""
    shop = slats(F(5, 8), 16).shop
    bundled = replace(BOTH[0], bundle_bf=F(40))
    assert bundle_rest(bundled, 16, shop) == pytest.approx((96, 57.6))
    assert bundle_rest(bundled, 0, shop) == bundle_rest(bundled, 40, shop) == (0, 0)
    s = studied(slats(F(5, 8), 16, bundled, BOTH[1]), Asked(draws=20, hidden=0), "planned: ")
    thin = estimates(s)[0]
    assert thin.cost.at(1) == pytest.approx(64 + 96 - 57.6)
    assert thin.mean("board_feet") == 40
    bought = added(s)
    assert bought.board_feet in (16, 40)


def test_several_dealers_at_once() -> None:
    """The dearer of two dealers' equal lines is never bought from."""
    dear = replace(BOTH[0], dealer="Dear", price_bf=F(6))
    s = studied(slats(F(3, 4), 8, dear, BOTH[0]), Asked(draws=20, hidden=0), "planned: ")
    bought = added(s)
    assert bought.feet == {1: 8}


def test_grades_by_hand() -> None:
    """Clear boards give four slats each: 16 of 3.5 square feet of face from 4 board feet at 4 in money."""
    job = slats(F(3, 4), 16, *BOTH)
    some = groups(market(job), job.parts)
    with Runner(plans=10) as runner:
        rows = quick_rows(market(job), some, runner, Deadline(NO_END))
    face = 16 * 5.75 * 21.5 / 144
    assert [(r.line, r.nominal) for r in rows] == [(0, 1), (1, 1)]
    assert rows[0].cost == pytest.approx(64 / face)
    assert rows[0].clear_yield == pytest.approx(face / (4 * 4))


def test_wide_parts_three_ways() -> None:
    """A panel 11 1/2 by 40: from boards 12 in wide in one, from 6 in boards glued up, or with a strip."""
    wide = replace(line("4/4", F(1), 10), min_width=F(12), max_width=F(12))
    narrow, other = line("4/4", F(1), 4), line("4/4", F(1), 2, species="ash")
    job = replace(
        slats(F(3, 4), 1, wide, narrow, other), parts=(Part("panel", 2, "oak", F(3, 4), F(23, 2), F(40), staves=(F(3), F(6))),)
    )
    with Runner(plans=10) as runner:
        rows = {row.way: row for _, row in wide_cases(job, market(job), runner, Deadline(NO_END))}
    assert rows[ONE].cost == pytest.approx(80)  # two panels lie on one board of 8 board feet at 10
    assert rows[GLUED].joints == 2  # 11 3/4 in three staves of 3 11/12: the range's middle is 4 1/2
    assert rows[STRIP].strip == pytest.approx(11.5 - 8.75)  # one piece of the middle of 6 to 12 in, 9 in rough
    assert rows[STRIP].other == "ash"
    assert all(row.cost is not None for row in rows.values())
    narrower = replace(job, shop=replace(job.shop, machines=replace(job.shop.machines, planer_width=F(10))))
    with Runner(plans=10) as runner:
        assert wide_cases(narrower, market(narrower), runner, Deadline(NO_END))[0][1].why == 'wider than the planer takes (10")'


def test_what_spoilt_pieces_ask_for_again() -> None:
    """A stave for itself, a book group whole, another piece alone."""
    parts = (
        Part("top", 1, "oak", F(3, 4), F(16), F(40), staves=(F(3), F(6))),
        Part("door", 4, "oak", F(5, 8), F(5), F(15), match="doors", match_kind="book"),
        Part("rail", 3, "oak", F(3, 4), F(3), F(20), match="frame", match_kind="board"),
    )
    job = Job("j", "in", parts, ())

    def piece(part: str, stave: int | None = None) -> Piece:
        name = f"{part}#1" + (f"/{stave}" if stave else "")
        return Piece(name, part, "b", F(0), F(0), F(41), F(17, 4), 1, 1, F(3, 4), stave=stave)

    found = again(job, [piece("top", 2), piece("door"), piece("rail"), piece("rail")])
    assert [(p.name.partition(" ")[0], p.qty, p.match) for p in found] == [
        ("top", 1, None),
        ("door", 4, "doors"),
        ("rail", 2, None),
    ]
    assert found[0].width == 4
    # What is missing as well is wanted in both counts, under a name of its own: a job has no two parts of one name.
    both = besides((parts[1], replace(parts[2], qty=1)), found)
    assert [(p.name, p.qty, p.match) for p in both[3:]] == [("door - again", 4, "doors - again"), ("rail - again", 2, None)]
    assert len({p.name for p in both}) == len(both)
    assert [whose(p.name) for p in both] == ["door", "rail", "top", "door", "rail"]


def test_uncut_boards_are_spare() -> None:
    boards = tuple(Board(n, "oak", "4/4", F(1), F(96), F(6), F(1)) for n in "ABC")
    assert [b.name for b in spares(boards, None, frozenset("B"))] == ["A", "C"]


def test_records_that_are_none_of_ours() -> None:
    text = dumps(record(studied(slats(F(5, 8), 8, *BOTH), Asked(draws=20, hidden=0), "planned: ")))
    assert dumps(loads(text)) == text
    for odd in ("[]", "{", '{"format": "yieldopt-source/1"}'):
        with pytest.raises(UsageError):
            loads(odd)


def test_bench_prints_the_fit_and_how_it_settles() -> None:
    """The benchmark still runs; its figures mean nothing on so few draws."""
    assert [text.split()[0] for text in calibration(10)] == ["FAS", "No.", "No.", "No."]
    job = slats(F(3, 4), 8, BOTH[0])
    assert settling(job, Asked(hidden=0), {"slat": 0}, (20,)) == ["   20 draws: 8 board feet, 100.0 % +- 5.6"]


def test_staves_may_be_of_any_width() -> None:
    """A panel 15 net of staves 3 to 6, three of 5 net in the middle: a board 4 in wide gives four of 3 net, which count for
    3/5 each."""
    shop = slats(F(3, 4), 1).shop
    panel = Part("panel", 1, "oak", F(3, 4), F(15) - 2 * shop.allowances.edge, F(43, 2), staves=(F(3), F(6)))
    (want,) = wants_of((panel,), shop)
    narrow = Board("b", "oak", "4/4", F(1), F(96), F(4), F(1))
    laid = lay_out([want], [want.qty], narrow, (), shop)
    assert len(laid.stacks) == 4
    assert laid.copies[0] == pytest.approx(4 * 3 / 5)
    assert want.width > narrow.width


def test_a_group_of_one_board_goes_on_one_board_or_none() -> None:
    job = slats(F(3, 4), 4)
    parts = tuple(replace(job.parts[0], name=n, qty=2, match="frame", match_kind="board") for n in ("stile", "rail"))
    wants = wants_of(parts, job.shop)
    left = [w.qty for w in wants]
    short, long = (Board("b", "oak", "4/4", F(1), F(n), F(6), F(1)) for n in (72, 96))
    assert not lay_out(wants, left, short, (), job.shop).stacks  # room for three
    assert sum(lay_out(wants, left, long, (), job.shop).copies) == 4


def test_rare_boards_count_for_more() -> None:
    """Two boards looked at for each one taken cost nothing more; nine for each one, three times as much."""
    assert rarity(20, 10) == 1
    assert rarity(90, 10) == pytest.approx(3)
    assert rarity(0, 0) == 1


def test_a_purchase_goes_to_the_line_that_is_cheaper_to_be_sure_of() -> None:
    """Slats the whole width of the boards: of common boards few have room for one; clear ones at twice the price cost less."""
    common, clear = (replace(line("4/4", F(1), p, g), dealer=g) for p, g in ((4, "No. 2 common"), (8, "clear")))
    job = slats(F(3, 4), 8, common, clear)
    with ThreadPoolExecutor(1) as one, Runner(one, 1) as runner:
        found = cheaper_lines(Basis.of(job, None, {"slat": 8}), {"slat": 0}, market(job), 0.95, runner, Deadline(NO_END))
        assert found == {"slat": 1}
        dear = replace(job, prices=(replace(common, grade="clear"), clear))
        assert cheaper_lines(Basis.of(dear, None, {"slat": 8}), {"slat": 0}, market(dear), 0.95, runner, Deadline(NO_END)) == {
            "slat": 0
        }



def test_a_purchase_keeps_off_lines_whose_boards_hardly_ever_serve() -> None:
    """Of boards 5 to 6 in wide, by eighths, one in nine takes a slat of 6 in; the others cost half as much again."""
    rare = replace(line("4/4", F(1), 4), min_width=F(5))
    job = slats(F(3, 4), 8, rare, replace(line("4/4", F(1), 6), dealer="Other"))
    with ThreadPoolExecutor(1) as one, Runner(one, 1) as runner:
        found = cheaper_lines(Basis.of(job, None, {"slat": 8}), {"slat": 0}, market(job), 0.95, runner, Deadline(NO_END))
    assert found == {"slat": 1}
