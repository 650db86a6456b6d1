"""Charts: where the wood went, thickness needed and there, cost against time of search. Drawn on axes that the "
"caller may pass."""

from __future__ import annotations

from collections.abc import Callable, Sequence
from typing import Any

from yieldopt.drawing.page.flow import Flow
from yieldopt.drawing.page.lettering import shorten, width_of
from yieldopt.drawing.page.primitives import Page
from yieldopt.drawing.setting import Setting
from yieldopt.ground.lengths import Units
from yieldopt.insight.leftovers import WoodAccount
from yieldopt.insight.slack import BlankSlack
from yieldopt.records.sections import History
from yieldopt.wood.volumes import volume, volume_unit

# (field, name, grey, hatch): told apart without colour, darkest for what is gone in the saw.
SHARES = (
    ("parts", "parts", "0.35", None),
    ("kept", "kept offcuts", "1.0", None),
    ("shavings", "shavings", "0.85", None),
    ("kerf", "kerf", "0.0", None),
    ("trim", "end trim", "1.0", "/\\"),
    ("defects", "defects", "1.0", "|"),
    ("waste", "waste", "1.0", "/"),
)
ROW, MOST_ROWS, NAME = 15.0, 36, 84.0
# Half the height of a bar, in rows.
BAR = 0.36


def chart_pages(s: Setting) -> list[Page]:
    """All charts of the packet."""
    flow = Flow(s.paper, s.running("To look at", "charts"))
    accounts = [s.accounts[bp.board] for bp in s.plan.boards]
    # One row a board: at 200 boards a row a blank would be a wall of them, and the tightest is where the surprise comes.
    blanks = [
        min((s.blank_slack[b.blank] for b in bp.blanks), key=lambda b: (b.spare, b.blank)) for bp in s.plan.boards if bp.blanks
    ]
    for some in _groups(accounts):
        flow.heading(f"Where the wood of each board went, in {volume_unit(s.job.units)}", keep=len(some) * ROW + 66)
        _chart(flow, len(some) * ROW + 62, lambda ax, some=some: draw_wood(ax, some, s.job.units))
    for group in _groups(blanks):
        flow.heading("Thickness board by board: needed by its tightest blank, and there after warp", keep=len(group) * ROW + 66)
        _chart(flow, len(group) * ROW + 62, lambda ax, group=group: draw_thickness(ax, group, s))
    history = _history(s)
    if history:
        flow.heading("Net cost and bound against time of search", keep=200)
        _chart(flow, 190, lambda ax: draw_history(ax, history))
    return flow.finish()


def _groups(items: Sequence[Any]) -> list[Sequence[Any]]:
    return [items[i : i + MOST_ROWS] for i in range(0, len(items), MOST_ROWS)]


def _chart(flow: Flow, height: float, draw: Any, top: float = 32.0) -> None:
    """Make a figure as wide as the page, let `draw` fill its axes, and lay it down."""
    import matplotlib as mpl
    from matplotlib.figure import Figure

    from yieldopt.drawing.charts.chartink import Ink

    flow.need(height)
    width = flow.paper.inner_width
    with mpl.rc_context(
        {"font.size": 9, "axes.linewidth": 0.7, "hatch.linewidth": 0.5, "xtick.major.width": 0.6, "path.simplify": False}
    ):
        figure = Figure(figsize=(width / 72, height / 72), dpi=72)
        axes = figure.add_axes((NAME / width, 30 / height, 1 - (NAME + 16) / width, 1 - (30 + top) / height))
        axes.spines[["top", "right"]].set_visible(False)
        draw(axes)
        figure.patch.set_visible(False)
        figure.draw(Ink(flow.page, flow.left, flow.y + height, width, height))
    flow.y += height


# Height of one row of a legend, and what stands beside a name in it, in points.
LEGEND_ROW, LEGEND_MARK = 13.0, 32.0


def lay_chart(flow: Flow, height: float, names: Sequence[str], draw: Callable[[Any], list[tuple[str, Any]]]) -> None:
    """Lay down a chart with two measured axes; `draw` fills the axes and returns the legend's entries, called `names`."""
    room = flow.paper.inner_width - NAME - 16
    widest = max(width_of(n, 9) for n in names) + LEGEND_MARK
    columns = max(1, min(3, int(room / widest)))
    top = -(-len(names) // columns) * LEGEND_ROW + 20
    _chart(flow, height + top, lambda axes: _legend(axes, draw(axes), columns), top)


def _name_rows(axes: Any, names: Sequence[str]) -> None:
    axes.set_yticks([])
    axes.set_ylim(len(names) - 0.4, -0.6)
    for i, name in enumerate(names):
        axes.annotate(
            shorten(name, NAME - 12, 9), (0, i), (-6, 0), ("axes fraction", "data"), "offset points", ha="right", va="center"
        )
    axes.locator_params(axis="x", nbins=6)


def _legend(axes: Any, entries: Sequence[tuple[str, Any]], columns: int) -> None:
    axes.legend(
        [h for _, h in entries],
        [n for n, _ in entries],
        loc="lower left",
        bbox_to_anchor=(0, 1.0),
        ncols=columns,
        frameon=False,
        borderaxespad=0.2,
        handlelength=1.6,
        handletextpad=0.4,
        columnspacing=0.9,
        labelspacing=0.25,
    )


def draw_wood(axes: Any, accounts: Sequence[WoodAccount], units: Units) -> None:
    """A bar for each board, its shares side by side."""
    from matplotlib.collections import PolyCollection
    from matplotlib.patches import Rectangle

    left = [0.0] * len(accounts)
    entries = []
    for field, name, grey, hatch in SHARES:
        values = [volume(getattr(a, field), units) for a in accounts]
        boxes = [
            ((a, i - BAR), (a + v, i - BAR), (a + v, i + BAR), (a, i + BAR))
            for i, (a, v) in enumerate(zip(left, values, strict=True))
        ]
        # One collection a share: a patch for every bar is slow at 200 boards.
        axes.add_collection(PolyCollection(boxes, facecolor=grey, edgecolor="0", linewidth=0.5, hatch=hatch))
        entries.append((name, Rectangle((0, 0), 1, 1, facecolor=grey, edgecolor="0", linewidth=0.5, hatch=hatch)))
        left = [a + v for a, v in zip(left, values, strict=True)]
    _name_rows(axes, [a.board for a in accounts])
    axes.set_xlim(0, max(left) * 1.02)
    axes.set_xlabel(f"{volume_unit(units)}, nominal")
    room = axes.bbox.width
    _legend(axes, entries, 7 if room > sum(width_of(n, 9) + 32 for n, _ in entries) else 4)


def draw_thickness(axes: Any, blanks: Sequence[BlankSlack], s: Setting) -> None:
    """A filled mark at what is needed, a hollow one at what is there; the line between them is what is to spare."""
    factor = 1.0 if s.job.units == "in" else 25.4
    need, have = [float(b.need) * factor for b in blanks], [float(b.available) * factor for b in blanks]
    rows = range(len(blanks))
    axes.hlines(rows, need, have, color="0", linewidth=1.6)
    needed = axes.plot(need, rows, "s", color="0", markersize=5)[0]
    there = axes.plot(have, rows, "o", color="0", markerfacecolor="none", markersize=8)[0]
    _name_rows(axes, [b.blank for b in blanks])
    low, high = min(need), max(have)
    margin = max((high - low) * 0.06, 0.02 * factor)
    axes.set_xlim(low - margin, high + margin)
    axes.set_xlabel("inches" if s.job.units == "in" else "mm")
    _legend(axes, [("needed", needed), ("there", there)], 2)


def _history(s: Setting) -> list[tuple[float, float, float | None]]:
    """The planner's record of (seconds, cost, bound), if the plan carries one."""
    said = s.plan.section(History)
    found = [(m.seconds, m.cost, m.bound) for m in (said.value if said else ()) if m.cost is not None]
    return found if len(found) > 1 else []


def draw_history(axes: Any, history: Sequence[tuple[float, float, float | None]]) -> None:
    """Best net cost and bound as steps over the seconds of the search."""
    seconds = [h[0] for h in history]
    cost = axes.step(seconds, [h[1] for h in history], where="post", color="0", linewidth=1.6)[0]
    entries = [("net cost", cost)]
    known = [(h[0], h[2]) for h in history if h[2] is not None]
    if known:
        bound = axes.step(
            [k[0] for k in known], [k[1] for k in known], where="post", color="0", linewidth=1.0, linestyle=(0, (4, 2))
        )[0]
        entries.append(("bound", bound))
    axes.set_xlabel("seconds")
    axes.locator_params(nbins=6)
    _legend(axes, entries, 2)
