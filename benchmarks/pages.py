"""The pages, asked as a browser asks: a real server over a database of 1000 jobs, one connection, no browser in between.

Besides times: the bytes of each page with everything it loads, and the memory of the server. A goal that is missed is said.
"""

from __future__ import annotations

import http.client
import re
import subprocess
import sys
import tempfile
import time
from collections.abc import Iterator
from datetime import UTC, datetime
from pathlib import Path
from urllib.parse import quote, urlsplit

from stopwatch import Line, against_goal

from standoff.desk.sheet import new_revision
from standoff.job.demonstration import NAMES, text_of
from standoff.store.jobs import Store

JOBS, EDITS = 1000, 120
EDIT_S, START_S, PAGE_BYTES, MEMORY_BYTES = 50e-3, 1.5, 200_000, 200_000_000
FIELDS = ("loader.pusher_reach", "lathe.adapter_to_collet", "nose.collapsed", "lathe.modes[0].z_front")
PAGES = ("/jobs", "survey", "placement", "move", "history", "survey/blank")


class Visitor:
    """One connection with the start token."""

    def __init__(self, entrance: str) -> None:
        parts = urlsplit(entrance)
        self.host = parts.netloc
        self.connection = http.client.HTTPConnection(self.host)
        self.form = ""
        self.headers = {"Origin": f"http://{self.host}"}
        self.connection.request("GET", f"{parts.path}?{parts.query}")
        entered = self.connection.getresponse()
        entered.read()
        self.headers["Cookie"] = (entered.headers["Set-Cookie"] or "").partition(";")[0]

    def get(self, path: str) -> tuple[str, float]:
        """A page's text, and how long its first byte took [s]."""
        begun = time.perf_counter()
        self.connection.request("GET", path, headers=self.headers)
        answer = self.connection.getresponse()
        taken_s = time.perf_counter() - begun
        text = answer.read().decode("utf-8")
        form = re.search(r'"x-standoff-form":"([0-9a-f]+)"', text)
        self.form = form[1] if form else self.form
        if answer.status != 200:
            raise SystemExit(f"benchmarks: {path} was answered with {answer.status}")
        return text, taken_s

    def save(self, job: str, field: str, text: str, base: str) -> tuple[str, float]:
        """The answer to a field that was left, and how long it took to its last byte [s]."""
        body = f"field={quote(field)}&text={quote(text)}&source=tape&base={base}"
        form = {
            **self.headers,
            "X-Standoff-Form": self.form,
            "Content-Type": "application/x-www-form-urlencoded",
            "HX-Request": "true",
        }
        begun = time.perf_counter()
        self.connection.request("POST", f"/jobs/{job}/field", body=body, headers=form)
        answer = self.connection.getresponse()
        told = answer.read().decode("utf-8")
        taken_s = time.perf_counter() - begun
        if answer.status != 200 or "✓ saved" not in told:
            raise SystemExit(f"benchmarks: {field} = {text} was answered with {answer.status}")
        return told, taken_s


def pages() -> Iterator[Line]:
    """Start, first byte and size of each page, edits, memory."""
    with tempfile.TemporaryDirectory() as folder:
        ids = filled(Path(folder))
        command = [sys.executable, "-u", "-m", "standoff", "serve", "--port", "0", "--data", folder, "--no-browser"]
        begun = time.perf_counter()
        with subprocess.Popen(command, stdout=subprocess.PIPE, text=True) as process:
            try:
                visitor = Visitor(entrance(process))
                _, first_s = visitor.get("/jobs")
                yield against_goal("pages: start to first page, 1000 jobs", time.perf_counter() - begun, START_S)
                yield Line("pages: first byte of that first page", first_s, None, "nothing is known of any job yet")
                yield from each_page(visitor, ids[0])
                yield edits(visitor, ids)
                yield from memory(process.pid)
            finally:
                process.terminate()


def filled(folder: Path) -> list[str]:
    """A database with many jobs; their ids."""
    store = Store(folder / "jobs.sqlite")
    ids = [f"{i:032x}" for i in range(JOBS)]
    for i, job in enumerate(ids):
        text = text_of(NAMES[0]).replace('title = "', f'title = "{i} ', 1)
        store.add_job(job, new_revision(text, {}, made_utc=datetime.now(UTC), what="import"))
    store.close()
    return ids


def entrance(process: subprocess.Popen[str]) -> str:
    """The address that the server prints."""
    for line in process.stdout or ():
        if line.startswith("Open "):
            return line.split()[1]
    raise SystemExit("benchmarks: the server ended before it could be opened")


def each_page(visitor: Visitor, job: str) -> Iterator[Line]:
    """First byte of each page (the second time), and its bytes with all it loads."""
    for page in PAGES:
        path = page if page.startswith("/") else f"/jobs/{job}/{page}"
        visitor.get(path)
        text, taken_s = visitor.get(path)
        loads = set(re.findall(r'(?:src|href)="(/static/[^"]+)"', text))
        size = len(text.encode()) + sum(len(visitor.get(load)[0].encode()) for load in loads)
        missed = "   GOAL MISSED" if size > PAGE_BYTES else ""
        yield Line(
            f"pages: first byte of {page}",
            taken_s,
            None,
            f"{size / 1e3:.0f} kB with all, {size / PAGE_BYTES:.2f} of the goal{missed}",
        )


def edits(visitor: Visitor, ids: list[str]) -> Line:
    """A field left to its updated answer, 95 of 100."""
    base, taken = dict.fromkeys(ids, "1"), []
    for i in range(EDITS):
        job = ids[i * 7 % JOBS]
        told, taken_s = visitor.save(job, FIELDS[i % len(FIELDS)], f"{600 + i} mm", base[job])
        found = re.search(r'name="base" value="([0-9]+)"', told)
        base[job] = found[1] if found else base[job]
        taken.append(taken_s)
    return against_goal("pages: field left to answer, 95 of 100", sorted(taken)[int(0.95 * EDITS)], EDIT_S)


def memory(process: int) -> Iterator[Line]:
    """What the server takes after all that, where the system tells."""
    status = Path(f"/proc/{process}/status")
    if status.is_file():
        found = re.search(r"VmHWM:\s+([0-9]+) kB", status.read_text(encoding="utf-8"))
        size = int(found[1]) * 1024 if found else 0
        missed = "   GOAL MISSED" if size > MEMORY_BYTES else ""
        yield Line(
            "pages: memory of the server at its most",
            0.0,
            None,
            f"{size / 1e6:.0f} MB, {size / MEMORY_BYTES:.2f} of the goal{missed}",
        )


if __name__ == "__main__":
    for line in pages():
        print(line.text(), flush=True)
