"""The charts of a study as SVG: net cost against price, chance of running short against board feet."""

from __future__ import annotations

import io
from collections.abc import Callable
from typing import Any

from yieldopt.drawing.charts.buycharts import draw_chance, draw_ways, has_chance, ways_to_draw
from yieldopt.records.study import StudyRecord


def chart_files(found: StudyRecord) -> dict[str, str]:
    """`ways.svg` and `chance.svg`, each where the record has enough to draw it."""
    files = {}
    ways = ways_to_draw(found)
    if ways is not None:
        files["ways.svg"] = _svg(
            lambda axes: draw_ways(axes, ways), f"{found.job}: what each way costs as the price of 8/4 changes"
        )
    purchase = next((p for p in (found.purchase_whole_job, found.purchase) if has_chance(p)), None)
    if purchase is not None:
        title = f"{found.job}: how likely a purchase is too little"
        files["chance.svg"] = _svg(lambda axes: draw_chance(axes, purchase, found.units), title)
    return files


def _svg(draw: Callable[[Any], list[tuple[str, Any]]], title: str) -> str:
    """Black on white, lettering as text."""
    import matplotlib as mpl
    from matplotlib.figure import Figure

    with mpl.rc_context({"font.size": 10, "svg.fonttype": "none", "svg.hashsalt": "yieldopt"}):
        figure = Figure(figsize=(7.2, 4.6))
        axes = figure.add_subplot()
        entries = draw(axes)
        axes.set_title(title, fontsize=11)
        axes.spines[["top", "right"]].set_visible(False)
        figure.legend([h for _, h in entries], [n for n, _ in entries], loc="lower center", ncols=3, frameon=False, fontsize=9)
        figure.subplots_adjust(bottom=0.3, top=0.92, left=0.12, right=0.97)
        out = io.StringIO()
        figure.savefig(out, format="svg", metadata={"Date": None})
    return out.getvalue()
