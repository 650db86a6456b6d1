"""Nodes of the branching: what a fixing shuts out leaves no node without a relaxation, and no bound is lost by it."""

from __future__ import annotations

from concurrent.futures import ThreadPoolExecutor

import pytest
from bench.families import plain

from yieldopt.ground.deadline import Deadline
from yieldopt.planning.layouts.columns import Pool
from yieldopt.planning.pricing.context import prepare
from yieldopt.planning.pricing.sections import Shape
from yieldopt.planning.search.branch import Node, NodeTask, NodeWorker
from yieldopt.planning.search.generate import Counting


@pytest.mark.parametrize("least", [False, True], ids=["free", "at least one"])
def test_a_board_that_must_be_cut_has_a_relaxation_though_no_layout_of_it_is_known(least: bool) -> None:
    with ThreadPoolExecutor(1) as executor:
        context = prepare(plain(3, 2, 3, 6), executor, Shape(), Shape())
        worker = NodeWorker(context, context.engine.alone(), ())
        counting = Counting(worker.master, 1)
        rows = range(len(context.rows))
        # Nothing but one row may come from board 0, which must be cut.
        node = Node(0.0, 1, {0: 1}, {}, {(0, r): 0 for r in rows if r}, {(0, 0): 1} if least else {})
        solution = worker.work(NodeTask(node, 200.0, Pool(2), Deadline(60), counting.within(node.most)))
    assert solution is not None
    given = [column for column, share in zip(worker.master.columns, solution.shares, strict=False) if share > 1e-6]
    assert any(column.stock == 0 for column in given)
    # Board 0 is paid for, whatever is kept of it.
    board = context.stocks[0]
    credit = max(column.layout.credit(board) for column in worker.master.columns if column.stock == 0)
    assert node.bound >= float(board.cost - credit) - 0.1
