"""How long a packet takes and how much memory: `python tests/bench/packet.py [BOARDS]`. Not a test; figures go in reports."""

from __future__ import annotations

import resource
import sys
import time
from pathlib import Path

sys.path.insert(0, str(Path(__file__).parents[1] / "drawing"))

from made_up import made_up

from yieldopt.drawing.packet.packet import packet_files


def main(boards: int) -> None:
    """Draw one made-up job of so many boards, and print what it took."""
    job, plan = made_up(5, boards=boards)
    began, cpu = time.perf_counter(), time.process_time()
    files = packet_files(job, plan, date="2026-01-01")
    took, used = time.perf_counter() - began, time.process_time() - cpu
    # ru_maxrss is in KiB on Linux.
    memory = resource.getrusage(resource.RUSAGE_SELF).ru_maxrss / 1024
    pieces = sum(len(bp.pieces) for bp in plan.boards)
    sizes = ", ".join(f"{name} {len(content) / 1e6:.1f} MB" for name, content in files.items() if name.startswith("packet"))
    print(f"{boards} boards, {pieces} pieces: {took:.1f} s ({used:.1f} s of processor), peak {memory:.0f} MiB; {sizes}")


if __name__ == "__main__":
    main(int(sys.argv[1]) if len(sys.argv) > 1 else 60)
