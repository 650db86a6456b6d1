"""A photo of a face: taken in, fitted by four touches, drawn straight under the marks, kept with the board."""

from __future__ import annotations

from collections.abc import Iterator
from pathlib import Path
from typing import Any

import numpy as np
import pytest

pytest.importorskip("selenium")

from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st
from phone import BROWSER, Phone, Served, barriers, shot
from PIL import Image, ImageDraw
from selenium.webdriver.common.by import By

from yieldopt.rack.door.facade import Rack

pytestmark = BROWSER
# The board's corners on the photo in pixels: near and far edge at the datum end, far and near edge at the far end.
SIZE = (1200, 900)
CORNERS = ((130, 320), (100, 560), (1120, 640), (1060, 250))
# The knot's centre: share of the board's width from the near edge, share of its length from the datum end.
KNOT = (0.3, 0.7)


def projection(from_: Any, to: Any) -> Any:
    """The eight coefficients of the projective map, by numpy's solver; Pillow's PERSPECTIVE has the same order."""
    rows, right = [], []
    for (x, y), (u, v) in zip(from_, to, strict=True):
        rows += [[x, y, 1, 0, 0, 0, -x * u, -y * u], [0, 0, 0, x, y, 1, -x * v, -y * v]]
        right += [u, v]
    return np.linalg.solve(np.array(rows, float), np.array(right, float))


def photograph(path: Path) -> None:
    """A board with one dark knot as a camera sees it from aside: Pillow's own projection, which knows nothing of ours."""
    flat = Image.new("RGB", (200, 1000), (205, 170, 120))
    x, y = KNOT[0] * 200, KNOT[1] * 1000
    ImageDraw.Draw(flat).ellipse((x - 14, y - 30, x + 14, y + 30), (40, 20, 10))
    back = projection(CORNERS, ((0, 0), (200, 0), (200, 1000), (0, 1000)))
    seen = flat.transform(SIZE, Image.Transform.PERSPECTIVE, tuple(back), Image.Resampling.BILINEAR, fillcolor=(60, 140, 70))
    seen.save(path, "JPEG", quality=92)


KNOT_SEEN = """
const done = arguments[0], image = new Image();
image.onload = () => {
  const c = document.createElement('canvas'); c.width = image.width; c.height = image.height;
  const pen = c.getContext('2d'); pen.drawImage(image, 0, 0);
  const d = pen.getImageData(0, 0, c.width, c.height).data; let n = 0, x = 0, y = 0, green = 0;
  for (let i = 0; i < d.length; i += 4) {
    const px = (i / 4) % c.width, py = Math.floor(i / 4 / c.width);
    if (d[i] < 90 && d[i + 1] < 80) { n++; x += px + 0.5; y += py + 0.5; }
    if (d[i + 1] > d[i] + 30) green++;
  }
  done([x / n / c.width, y / n / c.height, n / c.width / c.height, green / c.width / c.height]);
};
image.src = document.querySelector('image.under').getAttribute('href');
"""


@pytest.fixture
def served(tmp_path: Path) -> Iterator[Served]:
    page = Served(tmp_path / "shop.rack", "--port", "0")
    yield page
    assert page.stop() == 0


def touch_corner(phone: Phone, corner: tuple[float, float]) -> None:
    script = (
        "const i = document.querySelector('svg.photo image'), p = new DOMPoint(arguments[0] * i.getAttribute('width'),"
        "arguments[1] * i.getAttribute('height')).matrixTransform(i.getScreenCTM()); return [p.x, p.y]"
    )
    phone.js("document.querySelector('svg.photo').scrollIntoView({block: 'center'})")
    phone.touch(phone.js(script, corner[0] / SIZE[0], corner[1] / SIZE[1]))


def knot_is_where_it_was(phone: Phone) -> None:
    phone.wait(lambda: phone.js("return Boolean(document.querySelector('image.under'))"), "the photo under the drawing")
    x, y, share, green = phone.driver.execute_async_script(KNOT_SEEN)
    assert abs(x - KNOT[0]) < 0.03
    assert abs(y - KNOT[1]) < 0.03
    assert share == pytest.approx(np.pi * 14 * 30 / 200_000, rel=0.35)
    assert green < 0.05, "what lies around the board is left out, but for the width of a finger"


def marks_of_b1(phone: Phone) -> None:
    phone.go("Rack")
    phone.tap("Correct B1")
    phone.tap("Marks (0)")


def test_a_photo_is_fitted_by_four_touches_and_goes_with_the_board(tmp_path: Path, served: Served) -> None:
    photograph(tmp_path / "board.jpg")
    (tmp_path / "soup.jpg").write_bytes(b"soup")
    phone = Phone(tmp_path / "one")
    found: list[str] = []
    try:
        phone.driver.get(served.url)
        phone.says("Measure a board")
        phone.js("return navigator.serviceWorker.ready.then(() => 1)")
        phone.species("walnut")
        phone.signal(False)
        phone.length("96")
        phone.tap("Next")
        phone.length("7 3/8")
        phone.tap("Marks (0)")
        phone.driver.find_element(By.ID, "photo").send_keys(str(tmp_path / "soup.jpg"))
        phone.says("this is not a picture that this phone can read")
        phone.driver.find_element(By.ID, "photo").send_keys(str(tmp_path / "board.jpg"))
        for n, corner in enumerate(CORNERS, 1):
            phone.says(f"Touch corner {n} of 4")
            touch_corner(phone, corner)
        phone.says("Drag a corner to correct it")
        shot(phone, "photo")
        found += barriers(phone, "corners")
        phone.tap("Use these corners")
        knot_is_where_it_was(phone)
        shot(phone, "photo-marks")
        found += barriers(phone, "marks on a photo")
        phone.tap("Save board")
        phone.says("1 board only on this phone")
        phone.kill()
        phone = Phone(tmp_path / "one")
        phone.signal(False)
        phone.driver.get(served.url)
        phone.says("1 board only on this phone")
        marks_of_b1(phone)
        knot_is_where_it_was(phone)
        phone.signal(True)
        phone.js("dispatchEvent(new Event('online'))")
        phone.says("Everything is in the rack")
        two = Phone(tmp_path / "two")
        try:
            two.driver.get(served.url)
            two.says("Everything is in the rack")
            marks_of_b1(two)
            knot_is_where_it_was(two)
            two.tap("Without it")
            two.chalk()
            two.says("Everything is in the rack")
        finally:
            two.driver.quit()
    finally:
        phone.driver.quit()
    with Rack.open(tmp_path / "shop.rack", read_only=True) as rack:
        board = rack.board("B1")
        assert "photo_a" not in board.board.notes, "taken away again"
        assert len(board.photos) == 1, "but the photo itself stays with the board"
        kept = rack.photo(board.photos[0].digest)
        assert kept is not None
        assert (kept.kind, kept.width_in_pixels, kept.height_in_pixels) == ("JPEG", *SIZE)
        assert rack.check() == []
    assert found == []


shares = st.floats(0.05, 0.3)


@given(inset=st.lists(shares, min_size=8, max_size=8), spot=st.tuples(st.floats(0, 1), st.floats(0, 1)))
@settings(max_examples=40, deadline=None, suppress_health_check=[HealthCheck.function_scoped_fixture])
def test_the_map_of_four_corners_is_the_one_of_numpy(opened: Phone, inset: list[float], spot: tuple[float, float]) -> None:
    a, b, c, d, e, f, g, h = inset
    seen = [[a, b], [1 - c, d], [1 - e, 1 - f], [g, 1 - h]]
    own = [[0, 0], [1, 0], [1, 1], [0, 1]]
    script = (
        "const done = arguments[3]; import('/static/figures/corners.js').then(m => done(["
        "m.projective(arguments[0], arguments[1]), m.through(m.projective(arguments[0], arguments[1]), ...arguments[2]),"
        "m.goRound(arguments[1])]))"
    )
    coefficients, there, round_ = opened.driver.execute_async_script(script, own, seen, list(spot))
    p = projection(own, seen)
    assert coefficients == pytest.approx(list(p), abs=1e-9)
    w = p[6] * spot[0] + p[7] * spot[1] + 1
    assert there == pytest.approx([(p[0] * spot[0] + p[1] * spot[1] + p[2]) / w, (p[3] * spot[0] + p[4] * spot[1] + p[5]) / w])
    assert round_
    crossed = [seen[0], seen[2], seen[1], seen[3]]
    assert not opened.driver.execute_async_script(script, own, crossed, list(spot))[2]
