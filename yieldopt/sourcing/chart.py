"""The chart of ways: net cost against the price ratio 8/4 : 4/4, with the break-even and today's price marked. SVG."""

from __future__ import annotations

import io

from yieldopt.sourcing.findings import best_turning, estimates, rack_cost, way_figures
from yieldopt.sourcing.study import Study

DASHES = ("-", "--", ":")


def chart_svg(s: Study) -> str | None:
    """The chart as SVG text, black on white, told apart by dashes; None where there is only one way."""
    t = best_turning(s)
    figures = way_figures(s) if t is None or t.by == "plans" else estimates(s)
    if len(figures) < 2 or s.ratio_today is None:
        return None
    import matplotlib as mpl
    from matplotlib.figure import Figure

    ends = [s.ratio_today, *((t.ratio, t.low, t.high) if t else ())]
    low, high = 0.8 * min(ends), 1.2 * max(ends)
    with mpl.rc_context({"font.size": 10, "svg.fonttype": "none", "svg.hashsalt": "yieldopt"}):
        figure = Figure(figsize=(7.2, 4.4))
        axes = figure.add_subplot()
        for f, dash in zip(figures, DASHES, strict=False):
            costs = [rack_cost(s) + f.cost.at(r / s.ratio_today) for r in (low, high)]
            axes.plot([low, high], costs, dash, color="black", linewidth=1.6, label=f.name)
        axes.axvline(s.ratio_today, color="0.45", linewidth=1.0, linestyle=(0, (1, 2)), label=f"today: {s.ratio_today:.2f}")
        if t is not None:
            axes.axvspan(t.low, t.high, color="0.9", label="nine in ten draws turn here")
            thin = figures[0].cost
            axes.plot(
                [t.ratio],
                [rack_cost(s) + thin.at(t.ratio / s.ratio_today)],
                "o",
                color="black",
                label=f"break-even: {t.ratio:.2f}",
            )
        axes.set_xlim(low, high)
        axes.set_ylim(bottom=0)
        axes.set_xlabel("price of 8/4 over price of thin stock, a board foot")
        axes.set_ylabel("net cost")
        axes.spines[["top", "right"]].set_visible(False)
        figure.legend(*axes.get_legend_handles_labels(), loc="lower center", ncols=3, frameon=False, fontsize=9)
        figure.subplots_adjust(bottom=0.3, top=0.96, left=0.12, right=0.97)
        out = io.StringIO()
        figure.savefig(out, format="svg", metadata={"Date": None})
    return out.getvalue()
