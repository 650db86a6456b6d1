"""Charts drawn by matplotlib into our own recording, so that they are vectors in every back end and lettered like the rest."""

from __future__ import annotations

from typing import Any

from matplotlib.backend_bases import RendererBase

from yieldopt.drawing.page.lettering import ABOVE, BELOW, clean, width_of
from yieldopt.drawing.page.primitives import Hatch, Page, Polygon, Text

# matplotlib's hatch letters, as angle and gap of ours.
_HATCHES = {"/": (45.0, 4.0), "\\": (-45.0, 4.0), "|": (90.0, 3.0), "-": (0.0, 3.0)}


class Ink(RendererBase):  # type: ignore[misc, unused-ignore]
    """A renderer that lays a figure's strokes down on a page; display units are points, `y` up, from (left, bottom)."""

    def __init__(self, page: Page, left: float, bottom: float, width: float, height: float) -> None:
        super().__init__()
        self.page, self.left, self.bottom = page, left, bottom
        self.width, self.height = width, height

    def draw_path(self, gc: Any, path: Any, transform: Any, rgbFace: Any = None) -> None:
        dash = tuple(gc.get_dashes()[1] or ())
        weight = float(gc.get_linewidth())
        for points in path.to_polygons(transform, closed_only=False):
            if len(points) < 2:
                continue
            shape = tuple((self.left + float(x), self.bottom - float(y)) for x, y in points)
            closed = len(points) > 2 and bool((points[0] == points[-1]).all())
            fill = None if rgbFace is None or (len(rgbFace) > 3 and rgbFace[3] == 0) else _grey(rgbFace)
            self.page.add(Polygon(shape[:-1] if closed else shape, 0, fill, closed=closed, role="chart"))
            for letter in sorted(set(gc.get_hatch() or "")):
                angle, gap = _HATCHES[letter]
                self.page.add(Hatch(shape, angle, gap, 0.5, 0.2))
            if weight and gc.get_rgb()[3] > 0:
                self.page.add(
                    Polygon(shape[:-1] if closed else shape, weight, None, dash, _grey(gc.get_rgb()), closed, role="chart")
                )

    def draw_text(
        self, gc: Any, x: float, y: float, s: str, prop: Any, angle: float, ismath: Any = False, mtext: Any = None
    ) -> None:
        bold = prop.get_weight() == "bold"
        self.page.add(
            Text(self.left + x, self.bottom - y, clean(s), prop.get_size_in_points(), bold, turned=angle == 90, role="chart-text")
        )

    def get_text_width_height_descent(self, s: str, prop: Any, ismath: Any) -> tuple[float, float, float]:
        size = prop.get_size_in_points()
        return width_of(clean(s), size, prop.get_weight() == "bold"), size * (ABOVE + BELOW), size * BELOW

    def get_canvas_width_height(self) -> tuple[float, float]:
        return self.width, self.height

    def flipy(self) -> bool:
        return False

    def points_to_pixels(self, points: Any) -> Any:
        return points

    def draw_image(self, gc: Any, x: float, y: float, im: Any, transform: Any = None) -> None:
        raise NotImplementedError("charts here are strokes and lettering only")


def _grey(rgb: Any) -> float:
    # Luma of ITU-R BT.601: how grey a printer without colour makes it.
    return float(0.299 * rgb[0] + 0.587 * rgb[1] + 0.114 * rgb[2])
