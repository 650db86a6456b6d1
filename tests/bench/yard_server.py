"""The phone page's server with a yard's rack: `python tests/bench/yard_server.py [BOARDS]` (5,000 if not given). Not a test.

Prints pages, bytes over the line and seconds until a phone has every board; bytes for one change after that; seconds to the
first answer to "is this enough?", to a yes, and the process's greatest memory; then the memory that eight photos of 24
megapixels sent at once take.
"""

from __future__ import annotations

import io
import random
import sys
import tempfile
import time
import uuid
from concurrent.futures import ThreadPoolExecutor
from dataclasses import replace
from pathlib import Path

sys.path.insert(0, str(Path(__file__).parents[1] / "web"))
sys.path.insert(0, str(Path(__file__).parents[1]))

import httpx
from phone import Served
from PIL import Image

from bench.families import board
from yieldopt.demo import MAIN_JOB, inventory
from yieldopt.rack.board.record import RackBoard
from yieldopt.rack.door.facade import Rack, new_id
from yieldopt.reading import read_job
from yieldopt.reading.writing import job_files

PHOTOS = 8
SIDES = (6000, 4000)


def filled(path: Path, boards: int) -> list[str]:
    """A rack of so many boards of the demo's species."""
    rng = random.Random(0)
    ids = []
    with Rack.open(path, create=True) as rack:
        records = []
        for n in range(boards):
            species = rng.choice(("walnut", "white oak", "soft maple"))
            made = board(rng, f"Y{n + 1}", species, rng.choice((4, 4, 5, 6, 8)))
            ids.append(new_id())
            records.append(RackBoard(ids[-1], made))
        rack.log_all(records)
    return ids


def any_board(folder: Path) -> Path:
    """The demo's job, whatever board a part comes from."""
    job = read_job(inventory() / MAIN_JOB)
    folder.mkdir()
    for name, text in job_files(replace(job, parts=tuple(replace(p, sources=()) for p in job.parts), pins=())).items():
        (folder / name).write_text(text)
    return folder


def memory(process: int) -> float:
    """Greatest resident memory of a process so far, megabytes (Linux)."""
    lines = Path(f"/proc/{process}/status").read_text().splitlines()
    return next(int(line.split()[1]) for line in lines if line.startswith("VmHWM")) / 1024


def all_boards(client: httpx.Client) -> tuple[int, int, str]:
    """Pages, bytes over the line and the cursor at the end."""
    pages, sent, cursor = 0, 0, ""
    while True:
        with client.stream("GET", "/api/rack", params={"after": cursor}) as answer:
            body = answer.read()
            sent += answer.num_bytes_downloaded
        found = httpx.Response(200, content=body).json()
        pages, cursor = pages + 1, found["cursor"]
        if not found["more"]:
            return pages, sent, cursor


def photos(client: httpx.Client, ids: list[str]) -> None:
    """Eight phones send a photo each."""
    stream = io.BytesIO()
    Image.effect_noise(SIDES, 20).convert("RGB").save(stream, "JPEG", quality=40)
    content = stream.getvalue()
    print(f"photos: {PHOTOS} at once, {SIDES[0]} x {SIDES[1]}, {len(content) / 1e6:.1f} MB each")

    def one(n: int) -> int:
        kind = {"content-type": "image/jpeg"}
        answer = client.post(f"/api/boards/{ids[n]}/photos", content=content + bytes([n]), headers=kind, timeout=120)
        return answer.status_code

    with ThreadPoolExecutor(PHOTOS) as pool:
        print(f"  answers: {sorted(pool.map(one, range(PHOTOS)))}")


def main() -> None:
    """Fill, serve, ask."""
    count = int(sys.argv[1]) if len(sys.argv) > 1 else 5000
    with tempfile.TemporaryDirectory() as folder:
        ids = filled(Path(folder) / "yard.rack", count)
        served = Served(Path(folder) / "yard.rack", "--port", "0", "--job", str(any_board(Path(folder) / "job")))
        client = httpx.Client(base_url=served.url, headers={"x-yieldopt": "1"}, timeout=60)
        began = time.perf_counter()
        pages, sent, cursor = all_boards(client)
        print(f"{count} boards: {pages} pages, {sent / 1e6:.2f} MB over the line, {time.perf_counter() - began:.1f} s")
        body = {"key": str(uuid.uuid4()), "base": None, "defects": [], "edges": []}
        cells = {"board": "Z1", "species": "walnut", "quarters": "4/4", "length": "96", "width": "7"}
        client.put(f"/api/boards/{uuid.uuid4()}", json=body | {"cells": cells}).raise_for_status()
        with client.stream("GET", "/api/rack", params={"after": cursor}) as answer:
            answer.read()
            print(f"one change after that: {answer.num_bytes_downloaded} bytes")
        began = time.perf_counter()
        ask = client.post("/api/jobs/0/enough", json={"all_but": []}).raise_for_status().json()
        first = None
        while time.perf_counter() - began < 120 and ask["answer"] != "yes":
            time.sleep(0.25)
            ask = client.get(f"/api/jobs/0/enough/{ask['ask']}").raise_for_status().json()
            if first is None and ask["placed"]:
                first = time.perf_counter() - began
                print(f"is this enough: {ask['placed']} of {ask['wanted']} placed after {first:.1f} s")
        print(f"  {ask['answer']} after {time.perf_counter() - began:.1f} s: {ask['words']}")
        before = memory(served.process.pid)
        photos(client, ids)
        print(f"memory: {before:.0f} MB, {memory(served.process.pid):.0f} MB with the photos")
        served.stop()


if __name__ == "__main__":
    main()
