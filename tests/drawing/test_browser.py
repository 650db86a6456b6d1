"""The packet in a real browser: printed to PDF, and looked at on a narrow screen."""

from __future__ import annotations

import re
import shutil
import subprocess
from pathlib import Path

import pytest
from made_up import made_up
from pypdf import PdfReader

from yieldopt.drawing.packet.packet import draw_packet, packet_files
from yieldopt.drawing.page.paper import A4, LETTER, Paper

CHROMIUM = next((p for p in map(shutil.which, ("chromium", "chromium-browser", "google-chrome")) if p), None)
pytestmark = [pytest.mark.browser, pytest.mark.skipif(CHROMIUM is None, reason="no Chromium on this machine")]


def _chromium(folder: Path, *options: str) -> str:
    command = [str(CHROMIUM), "--headless", "--no-sandbox", "--disable-gpu", f"--user-data-dir={folder}/profile", *options]
    return subprocess.run(command, capture_output=True, text=True, timeout=180, check=True).stdout


@pytest.mark.parametrize("paper", [LETTER, A4], ids=lambda p: p.name)
def test_printing_the_page_gives_the_packet(tmp_path: Path, paper: Paper) -> None:
    job, plan = made_up(2, boards=2, missing=True)
    files = packet_files(job, plan, paper, "2026-01-01")
    (tmp_path / "packet.html").write_text(str(files["packet.html"]), encoding="utf-8")
    _chromium(tmp_path, "--no-pdf-header-footer", f"--print-to-pdf={tmp_path}/out.pdf", f"file://{tmp_path}/packet.html")
    reader = PdfReader(tmp_path / "out.pdf")
    pages = draw_packet(job, plan, paper, "2026-01-01").pages
    assert len(reader.pages) == len(pages)
    for printed, mine in zip(reader.pages, pages, strict=True):
        assert float(printed.mediabox.width) == pytest.approx(mine.width, abs=1)
        assert float(printed.mediabox.height) == pytest.approx(mine.height, abs=1)
        words = "".join(printed.extract_text().split())
        missing = [t.text for t in mine.texts() if not t.turned and "".join(t.text.split()) not in words]
        assert missing == []


def test_a_narrow_screen_needs_no_sideways_scrolling(tmp_path: Path) -> None:
    job, plan = made_up(3, boards=2, hostile=True)
    html = str(packet_files(job, plan, LETTER, "2026-01-01")["packet.html"])
    probe = (
        "<script>addEventListener('load',()=>{const i=document.querySelector('iframe').contentDocument,d=i.documentElement;"
        "const t=[...i.querySelectorAll('.strip text')].map(e=>e.getBoundingClientRect());"
        "document.title='W'+d.scrollWidth+' R'+Math.ceil(Math.max(...t.map(r=>r.right)))"
        "+' L'+Math.floor(Math.min(...t.map(r=>r.left)))})</script>"
    )
    (tmp_path / "packet.html").write_text(html, encoding="utf-8")
    frame = '<!DOCTYPE html><title>x</title><iframe src="packet.html" style="width:390px;height:800px;border:0"></iframe>'
    (tmp_path / "frame.html").write_text(frame + probe, encoding="utf-8")
    out = _chromium(
        tmp_path, "--allow-file-access-from-files", "--virtual-time-budget=8000", "--dump-dom", f"file://{tmp_path}/frame.html"
    )
    found = re.search(r"<title>W(\d+) R(\d+) L(-?\d+)", out)
    assert found is not None, out[:500]
    width, right, left = map(int, found.groups())
    assert width <= 390
    assert right <= 390
    assert left >= 0
