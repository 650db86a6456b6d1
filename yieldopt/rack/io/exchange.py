"""Racks from and to folders of tables: the job folder's columns, with the shop's bookkeeping in columns of its own."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass, replace
from functools import partial
from pathlib import Path

from yieldopt.ground.errors import InputError, Problem, UsageError
from yieldopt.ground.files import write_all_atomically
from yieldopt.ground.lengths import Units
from yieldopt.rack.board import record as records
from yieldopt.rack.board.errors import NoSuchBoard, Refused
from yieldopt.rack.board.record import Photo, PhotoRef, RackBoard
from yieldopt.rack.books.photos import ENDINGS, read
from yieldopt.rack.books.search import BoardSearch
from yieldopt.rack.door.facade import Rack
from yieldopt.rack.typed.extras import ExtrasReader, as_notes
from yieldopt.reading.boards import boards_in
from yieldopt.reading.settings import units_in
from yieldopt.reading.writing import board_files, board_workbooks

# Boards that have left the rack lie in this folder of a dump, so that no job folder offers them to a planner.
GONE = "gone"
PHOTOS = "photos"


@dataclass(frozen=True, slots=True)
class Loaded:
    """What a load did: names of boards added, corrected, and found there already just as they are."""

    added: tuple[str, ...]
    corrected: tuple[str, ...]
    same: tuple[str, ...]


def load(rack: Rack, folder: Path, units: Units | None = None, correct: bool = False) -> Loaded:
    """Bring the boards of a folder to the rack: all or none.

    A board that is there just so is passed over, so that a load can be repeated. One that is there and differs is a mistake,
    unless `correct`: then the folder's word counts. Raises `InputError` with every mistake.
    """
    problems: list[Problem] = []
    incoming, photos = read_folder(folder, units, problems)
    if problems:
        raise InputError(problems)
    everything = rack.boards(BoardSearch(state=None))
    by_name = {r.name: r for r in everything if r.state == "on rack"}
    by_id = {r.id: r for r in everything}
    added: list[RackBoard] = []
    changed: dict[str, Callable[[RackBoard], RackBoard]] = {}
    corrected: list[str] = []
    same: list[str] = []
    for r in incoming:
        there = by_id.get(r.id) or (by_name.get(r.name) if r.state == "on rack" else None)
        if there is None:
            added.append(r)
            continue
        merged = _merged(there, r)
        if records.dumps(merged) == records.dumps(there):
            same.append(r.name)
        elif correct and there.state == r.state == "on rack":
            changed[there.id] = partial(_instead, merged, there)
            corrected.append(merged.name)
        else:
            expected = "a board that is not on the rack yet, or the same facts as there (--correct takes the folder's)"
            problems.append(Problem("boards.csv", None, "board", r.name, expected))
    if problems:
        raise InputError(problems)
    if changed:
        rack.correct_all(changed, added=added, photos=photos, remark=f"from {folder.name}", what="load")
    elif added:
        rack.log_all(added, photos=photos, remark=f"from {folder.name}")
    return Loaded(tuple(r.name for r in added), tuple(corrected), tuple(same))


def _merged(there: RackBoard, r: RackBoard) -> RackBoard:
    """The incoming record under the identity that is there; bookkeeping that the table leaves empty stays as it is."""
    kept = {
        k: getattr(there, k)
        for k in ("dealer", "grade", "place", "remarks", "moisture", "photos", "origin", "why")
        if not getattr(r, k)
    }
    if not r.thickness_points and there.board.thickness == r.board.thickness:
        kept["thickness_points"] = there.thickness_points
    return replace(r, id=there.id, **kept)


def _instead(r: RackBoard, seen: RackBoard, there: RackBoard) -> RackBoard:
    """`r`, if the board is still as it was `seen`: what others noted meanwhile is not overwritten unread."""
    if records.dumps(there) != records.dumps(seen):
        raise Refused(f"{there.name} was changed while the folder was read; load it again")
    return r


def read_folder(folder: Path, units: Units | None, problems: list[Problem]) -> tuple[list[RackBoard], list[Photo]]:
    """The records of a folder and of its part for boards that are gone, with the photos they name; mistakes are noted."""
    if not folder.is_dir():
        problems.append(Problem(str(folder), None, None, "a file" if folder.exists() else None, "a folder with boards.csv"))
        return [], []
    units = units or units_in(folder) or "in"
    found: list[RackBoard] = []
    photos: dict[str, Photo] = {}
    ids: set[str] = set()
    for part, prefix in ((folder, ""), (folder / GONE, f"{GONE}/")):
        if prefix and not part.is_dir():
            continue
        # The boards that are sound so far, so that mistakes in the bookkeeping of these are told of in the same breath.
        found_here: list[Problem] = []
        boards, names = boards_in(part, units, found_here)
        problems.extend(replace(p, file=prefix + p.file) for p in found_here)
        for board in boards:
            place = (prefix + names.file, names.rows.get(board.name))
            record = ExtrasReader(*place, units, problems).record(board)
            if record.id in ids:
                problems.append(Problem(*place, "rack_id", record.id, "each identity once"))
            ids.add(record.id)
            found.append(_with_photos(record, place, folder / PHOTOS, photos, problems))
    return found, list(photos.values())


def _with_photos(
    r: RackBoard, place: tuple[str, int | None], folder: Path, photos: dict[str, Photo], problems: list[Problem]
) -> RackBoard:
    """The record with the digests of the photos it names; `place` is its file and row."""
    refs = []
    for ref in r.photos:
        candidates = [folder / ref.name] if not ref.digest else [folder / f"{ref.digest}.{e}" for e in ENDINGS.values()]
        path = next((p for p in candidates if p.is_file()), candidates[0])
        try:
            photo = replace(read(path), name=ref.name)
        except UsageError as error:
            problems.append(Problem(*place, "photos", ref.name, f"a photo in the folder {PHOTOS} ({error})"))
            continue
        if ref.digest and photo.digest != ref.digest:
            problems.append(Problem(*place, "photos", ref.name, "the photo that was dumped; this one differs"))
            continue
        photos[photo.digest] = photo
        refs.append(PhotoRef(ref.name, photo.digest))
    return replace(r, photos=tuple(refs))


def dump(rack: Rack, folder: Path, units: Units | None = None, workbooks: bool = False, everything: bool = False) -> int:
    """Write the rack to a folder; how many boards. With `everything` those that are gone too, in a folder of their own.

    Bare numbers are in the units of a `job.toml` that is there, else inches.
    """
    units = units or (units_in(folder) if folder.is_dir() else None) or "in"
    # One question, so that what others do meanwhile can't put a board in both parts, or in neither.
    boards = rack.boards(BoardSearch(state=None) if everything else BoardSearch())
    parts = {"": [r for r in boards if r.state == "on rack"]}
    if everything:
        parts[f"{GONE}/"] = [r for r in boards if r.state != "on rack"]
    files: dict[str, str | bytes] = {}
    for prefix, rows in parts.items():
        tables = [as_notes(r, units) for r in rows]
        written = board_workbooks(tables, units) if workbooks else board_files(tables, units)
        files |= {prefix + name: content for name, content in written.items()}
        _refuse_twins(folder / prefix, workbooks)
    for digest in {p.digest: None for rows in parts.values() for r in rows for p in r.photos}:
        photo = rack.photo(digest)
        if photo is None:
            raise NoSuchBoard([f"photo {digest[:12]}"])
        files[f"{PHOTOS}/{digest}.{ENDINGS[photo.kind]}"] = photo.content
    write_all_atomically(folder, files)
    return sum(len(rows) for rows in parts.values())


def _refuse_twins(folder: Path, workbooks: bool) -> None:
    """A table may be in one place only: a dump beside the other kind could not be read again."""
    other = "csv" if workbooks else "xlsx"
    twins = [p.name for stem in ("boards", "defects", "edges") if (p := folder / f"{stem}.{other}").exists()]
    if twins:
        raise UsageError(
            f"{folder} has {', '.join(twins)} already; a table may be there in one form only. Dump to another folder"
        )
