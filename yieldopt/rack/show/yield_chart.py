"""What became of the wood, as a chart: for each heading the shares that went into parts, kept offcuts and waste."""

from __future__ import annotations

import io
from collections.abc import Sequence
from typing import Any

from yieldopt.drawing.page.lettering import clean
from yieldopt.ground.lengths import Units
from yieldopt.rack.cut.cuttings import YieldLine
from yieldopt.wood.volumes import volume, volume_unit

MOST_BARS = 24
# Told apart by hatching, not by colour alone.
_SERIES = (
    ("parts", "finished parts", "#4d4d4d", ""),
    ("kept", "kept offcuts", "#b3b3b3", "//"),
    ("waste", "waste", "#ffffff", ".."),
)


def draw(axes: Any, lines: Sequence[YieldLine], by: str, units: Units) -> None:
    """Stacked bars of volume on `axes`, one a heading; above each the yield (parts over wood used, kept offcuts off)."""
    shown = list(lines)[-MOST_BARS:]
    places = range(len(shown))
    base = [0.0] * len(shown)
    for attribute, label, grey, hatch in _SERIES:
        wood = [volume(getattr(line, attribute), units) for line in shown]
        axes.bar(places, wood, bottom=base, label=label, color=grey, hatch=hatch, edgecolor="black", linewidth=0.8, width=0.7)
        base = [b + v for b, v in zip(base, wood, strict=True)]
    for x, top, line in zip(places, base, shown, strict=True):
        if line.share is not None:
            axes.annotate(
                f"{float(line.share):.0%}", (x, top), ha="center", va="bottom", xytext=(0, 2), textcoords="offset points"
            )
    axes.set_xticks(
        list(places),
        [_short(line.heading) for line in shown],
        rotation=30 if len(shown) > 4 else 0,
        ha="right" if len(shown) > 4 else "center",
    )
    axes.set_ylabel(volume_unit(units))
    axes.set_title(f"Boards cut, by {by}; above each bar the yield", fontsize=11, loc="left")
    axes.margins(y=0.12)
    # Room for four bars at least, so that one alone is a bar and not a wall.
    axes.set_xlim(-0.6, max(len(shown), 4) - 0.4)
    axes.spines[["top", "right"]].set_visible(False)
    axes.legend(frameon=False, fontsize=9, loc="upper left", bbox_to_anchor=(1.0, 1.0))


def _short(text: str, most: int = 18) -> str:
    text = clean(text)
    # Dollar signs would start mathematics in matplotlib's lettering.
    text = text if len(text) <= most else text[: most - 1] + "…"
    return text.replace("$", r"\$")


def chart(lines: Sequence[YieldLine], by: str, kind: str, units: Units) -> bytes:
    """The chart as a file of `kind`: "svg", "png" or "pdf"."""
    from matplotlib.backends.backend_agg import FigureCanvasAgg
    from matplotlib.figure import Figure

    figure = Figure(figsize=(max(6.0, 2.5 + 0.7 * len(lines)), 4.2), layout="constrained")
    FigureCanvasAgg(figure)
    draw(figure.add_subplot(), lines, by, units)
    out = io.BytesIO()
    figure.savefig(out, format=kind, dpi=130)
    return out.getvalue()
