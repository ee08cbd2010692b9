"""The pictures of the pages in the documentation: `python3 dev.py pictures`. A real server, a real browser, demonstration jobs.

A picture is reduced to 64 colours, so that it stays small; it is looked at by people and held by no test.
"""

from __future__ import annotations

import struct
import tempfile
import zlib
from collections import Counter
from pathlib import Path

from playwright.sync_api import Page, sync_playwright

from tests.browser.browsers import ARGUMENTS, browser_program
from tests.browser.served import serving

FOLDER = Path(__file__).resolve().parent / "pictures" / "screens"
COLOURS = 64
SHOTS = (
    ("jobs", "", 1024, 720, "light"),
    ("survey", "survey#f-lathe-cover-to-adapter-box", 1180, 820, "light"),
    ("placement", "placement", 1180, 900, "light"),
    ("placement-dark", "placement", 1180, 900, "dark"),
    ("move", "move", 390, 780, "light"),
    ("speed", "speed", 1180, 1180, "light"),
    ("cycle", "cycle", 1180, 1180, "light"),
    ("stock", "stock", 1180, 1180, "light"),
    ("level", "level", 1180, 1180, "light"),
    ("floor", "floor", 1180, 1180, "light"),
    ("runoff", "runoff", 1180, 900, "light"),
)
"""Name, page of the axle cell, width, height and colour scheme of each picture."""


def main() -> None:
    """Take every picture."""
    FOLDER.mkdir(parents=True, exist_ok=True)
    with tempfile.TemporaryDirectory() as folder, serving(Path(folder) / "data") as server, sync_playwright() as playwright:
        browser = playwright.chromium.launch(executable_path=browser_program(), args=list(ARGUMENTS))
        for name, page_of_job, width, height, scheme in SHOTS:
            dark = "dark" if scheme == "dark" else "light"
            page = browser.new_page(viewport={"width": width, "height": height}, color_scheme=dark)
            page.goto(server.entrance)
            _reach(page, page_of_job)
            # A caret hidden by a style would break the pages' own policy.
            pixels = _pixels(page.screenshot(caret="initial"))
            file = FOLDER / f"{name}.png"
            file.write_bytes(_reduced(*pixels))
            print(f"{file.name}: {file.stat().st_size / 1e3:.0f} kB")
            page.close()
        browser.close()


def _reach(page: Page, page_of_job: str) -> None:
    if not page_of_job:
        return
    address = page.get_by_role("link", name="Axle cell", exact=True).get_attribute("href") or ""
    base = page.url.removesuffix("/jobs")
    page.goto(f"{base}{address.rpartition('/')[0]}/{page_of_job}")
    if page_of_job.startswith("survey"):
        page.locator("#f-lathe-cover-to-adapter").focus()
    if page_of_job == "cycle":
        page.locator("#scrub").fill("11")
    if page_of_job == "move":
        page.locator("[name=gap]").fill("12 3/4 in")
        page.get_by_role("button", name="Take the reading").click()
    page.wait_for_load_state()


def _pixels(png: bytes) -> tuple[int, int, list[bytes]]:
    """Width, height and the rows of a PNG as a browser writes it: 8 bits, red, green, blue, perhaps alpha (PNG, 7 to 9)."""
    width, height, _, kind = struct.unpack(">IIBB", png[16:26])
    size = 4 if kind == 6 else 3
    packed, at = b"", 8
    while at < len(png):
        length, name = struct.unpack(">I4s", png[at : at + 8])
        packed += png[at + 8 : at + 8 + length] if name == b"IDAT" else b""
        at += 12 + length
    raw, before, rows = zlib.decompress(packed), bytearray(width * size), []
    for y in range(height):
        start = y * (width * size + 1)
        row = bytearray(raw[start + 1 : start + 1 + width * size])
        _unfilter(raw[start], row, before, size)
        before = row
        rows.append(bytes(row) if size == 3 else b"".join(bytes(row[i : i + 3]) for i in range(0, len(row), 4)))
    return width, height, rows


def _unfilter(kind: int, row: bytearray, above: bytearray, size: int) -> None:
    for i in range(len(row)):
        left = row[i - size] if i >= size else 0
        up, corner = above[i], above[i - size] if i >= size else 0
        if kind == 1:
            row[i] = (row[i] + left) & 255
        elif kind == 2:
            row[i] = (row[i] + up) & 255
        elif kind == 3:
            row[i] = (row[i] + (left + up) // 2) & 255
        elif kind == 4:
            near = left + up - corner
            row[i] = (row[i] + min((left, up, corner), key=lambda value: abs(near - value))) & 255


def _reduced(width: int, height: int, rows: list[bytes]) -> bytes:
    """The picture with its most frequent colours, every other one by the nearest of them."""
    counted = Counter(row[i : i + 3] for row in rows for i in range(0, len(row), 3))
    palette = [colour for colour, _ in counted.most_common(COLOURS)]
    nearest = {
        colour: min(range(len(palette)), key=lambda i: sum((a - b) ** 2 for a, b in zip(palette[i], colour, strict=True)))
        for colour in counted
    }
    indexed = b"".join(b"\0" + bytes(nearest[row[i : i + 3]] for i in range(0, len(row), 3)) for row in rows)
    head = struct.pack(">IIBBBBB", width, height, 8, 3, 0, 0, 0)
    chunks = ((b"IHDR", head), (b"PLTE", b"".join(palette)), (b"IDAT", zlib.compress(indexed, 9)), (b"IEND", b""))
    return b"\x89PNG\r\n\x1a\n" + b"".join(
        struct.pack(">I", len(data)) + name + data + struct.pack(">I", zlib.crc32(name + data)) for name, data in chunks
    )


if __name__ == "__main__":
    main()
