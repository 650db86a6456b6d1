"""Photos of a job's boards: kept in its folder as a rack's tables keep them, and drawn straight to lie under the marks.

A cell of the board (`photo_a`, `photo_b`) names the photo and where on it the face's corners lie, as the phone writes it: near
and far edge at the datum end, far and near edge at the far end, as shares of the photo's width and height.
"""

from __future__ import annotations

import io
import re
from collections.abc import Sequence
from functools import lru_cache
from pathlib import Path
from urllib.parse import urlencode

from yieldopt.ground.errors import UsageError
from yieldopt.ground.files import write_atomically
from yieldopt.web import pictures
from yieldopt.wood.lumber import Board

FOLDER = "photos"
# Pixels along a straight picture, and of the longer side of one that is only looked at.
STRAIGHT, LOOKED = 1600, 1600
_FIT = re.compile(r"(\S+)((?: [01](?:\.\d+)?){8})")
_NAME = re.compile(r"[^\W_][\w. -]{0,120}\.(?:jpe?g|png|webp)", re.I)

Point = tuple[float, float]


def fit_of(text: str) -> tuple[str, tuple[Point, ...]] | None:
    """The photo and the corners that a cell says; None where it says neither."""
    m = _FIT.fullmatch(text.strip())
    if m is None:
        return None
    n = [float(v) for v in m[2].split()]
    return m[1], tuple(zip(n[::2], n[1::2], strict=True))


def take_in(folder: Path, name: str, content: bytes) -> str:
    """Keep a photo, without what the camera wrote beside it; its name there, which is another where that is taken.

    Raises `UsageError` for what is no photo or too large a one; `OSError` where it can't be written.
    """
    photo = pictures.take_in(name, content)
    stem = re.sub(r"[^\w.-]+", "-", Path(name).stem)[:60].strip("-._") or "photo"
    ending = {"JPEG": "jpg", "PNG": "png", "WEBP": "webp"}[photo.kind]
    n, kept = 1, f"{stem}.{ending}"
    while (folder / FOLDER / kept).exists():
        if (folder / FOLDER / kept).read_bytes() == photo.content:
            return kept
        n, kept = n + 1, f"{stem}-{n + 1}.{ending}"
    write_atomically(folder / FOLDER / kept, photo.content)
    return kept


def path_of(folder: Path, name: str) -> Path:
    """Raises `UsageError` where there is no such photo: names that lead elsewhere are none."""
    path = folder / FOLDER / name
    if not _NAME.fullmatch(name) or not path.is_file():
        raise UsageError(f"there is no photo {name[:60]!r} in the job's folder {FOLDER}")
    return path


def upright(folder: Path, name: str) -> bytes:
    """The photo as JPEG, upright and no larger than a screen has use for."""
    path = path_of(folder, name)
    return _upright(path, path.stat().st_mtime_ns)


@lru_cache(maxsize=32)
def _upright(path: Path, _changed: int) -> bytes:
    from PIL import Image, ImageOps

    with Image.open(path) as image:
        image.draft("RGB", (LOOKED, LOOKED))
        turned = ImageOps.exif_transpose(image).convert("RGB")
    turned.thumbnail((LOOKED, LOOKED))
    return _jpeg(turned)


def address(board: Board, face: str) -> str | None:
    """Where the desk's server gives the face drawn straight: the board's rectangle, datum end at the left, far edge above. None
    where no photo is fitted to it."""
    fit = board.notes.get(f"photo_{face.lower()}", "")
    if fit_of(fit) is None:
        return None
    first, last = board.outline[0], board.outline[-1]
    low, high = min(p.near for p in board.outline), max(p.far for p in board.outline)
    own = [float((high - y) / (high - low)) for y in (first.near, first.far, last.far, last.near)]
    across = min(STRAIGHT, max(16, round(STRAIGHT * float((high - low) / board.length))))
    asked = {"fit": fit, "own": " ".join(f"{v:.5f}" for v in own), "across": across}
    return f"/api/straight?{urlencode(asked)}"


def straight(folder: Path, fit: str, own: Sequence[float], across: int) -> bytes:
    """A face drawn straight as JPEG, by what `address` says. Raises `UsageError` where that is nothing that can be drawn."""
    found = fit_of(fit)
    if found is None or len(own) != len(found[1]) or not all(-1 <= v <= 2 for v in own) or not 1 <= across <= STRAIGHT:
        raise UsageError("no photo is fitted to this face")
    path = path_of(folder, found[0])
    ends = (0.0, 0.0, 1.0, 1.0)
    return _straight(path, path.stat().st_mtime_ns, found[1], tuple(zip(ends, own, strict=True)), across)


@lru_cache(maxsize=128)
def _straight(path: Path, changed: int, corners: tuple[Point, ...], own: tuple[Point, ...], across: int) -> bytes:
    from PIL import Image

    with Image.open(io.BytesIO(_upright(path, changed))) as image:
        size = image.size
        onto = [(x * size[0], y * size[1]) for x, y in corners]
        here = [(x * STRAIGHT, y * across) for x, y in own]
        drawn = image.transform(
            (STRAIGHT, across), Image.Transform.PERSPECTIVE, projective(here, onto), Image.Resampling.BILINEAR
        )
    return _jpeg(drawn)


def projective(here: Sequence[Point], there: Sequence[Point]) -> list[float]:
    """The map a..h with x' = (ax + by + c) / (gx + hy + 1), y' = (dx + ey + f) / (gx + hy + 1) that takes four points to four
    others (Heckbert 1989, Fundamentals of Texture Mapping and Image Warping, 2.2.3). Raises `UsageError` where there is none."""
    import numpy as np

    rows, right = [], []
    for (x, y), (u, v) in zip(here, there, strict=True):
        rows += [[x, y, 1, 0, 0, 0, -x * u, -y * u], [0, 0, 0, x, y, 1, -x * v, -y * v]]
        right += [u, v]
    try:
        return [float(v) for v in np.linalg.solve(np.array(rows, float), np.array(right, float))]
    except np.linalg.LinAlgError:
        raise UsageError("the four corners lie on a line: fit the photo again") from None


def _jpeg(image: object) -> bytes:
    out = io.BytesIO()
    image.save(out, "JPEG", quality=85)  # type: ignore[attr-defined]
    return out.getvalue()
