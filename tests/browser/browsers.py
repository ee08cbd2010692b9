"""The browser that is there: Chromium, Chrome or Edge as the system installed it; a missing one fails with what to run."""

from __future__ import annotations

import os
import shutil
import sys
from pathlib import Path

ARGUMENTS = (
    "--no-sandbox",
    "--disable-gpu",
    "--disable-quic",
    "--no-first-run",
    "--disable-background-networking",
    "--disable-component-update",
    "--disable-sync",
)
PROGRAMS = (
    "chromium",
    "chromium-browser",
    "google-chrome",
    "google-chrome-stable",
    "microsoft-edge",
    "microsoft-edge-stable",
    "chrome",
    "msedge",
)
APPLICATIONS = {
    "darwin": (
        "/Applications/Google Chrome.app/Contents/MacOS/Google Chrome",
        "/Applications/Chromium.app/Contents/MacOS/Chromium",
        "/Applications/Microsoft Edge.app/Contents/MacOS/Microsoft Edge",
    ),
    "win32": (
        r"C:\Program Files\Google\Chrome\Application\chrome.exe",
        r"C:\Program Files (x86)\Microsoft\Edge\Application\msedge.exe",
        r"C:\Program Files\Microsoft\Edge\Application\msedge.exe",
    ),
}
INSTALL = {"darwin": "brew install --cask google-chrome", "win32": "winget install Google.Chrome"}


def browser_program() -> str:
    """The installed browser (STANDOFF_BROWSER names another one); fails with the one command that installs it."""
    named = os.environ.get("STANDOFF_BROWSER")
    places = [named] if named else [*map(shutil.which, PROGRAMS), *APPLICATIONS.get(sys.platform, ())]
    found = next((place for place in places if place and Path(place).exists()), None)
    if found is None:
        command = INSTALL.get(sys.platform, "sudo apt-get install chromium")
        raise AssertionError(f"no browser was found for the browser tests: run '{command}', then the tests again")
    return found
