"""Files written whole or not at all."""

from __future__ import annotations

import os
import tempfile
from pathlib import Path

from standoff.errors import UnwritableFileError


def write_whole(path: Path, text: str, *, overwrite: bool = True) -> None:
    """Write a text beside its place and move it there in one step; a failure leaves what was there untouched."""
    if not overwrite and path.exists():
        raise UnwritableFileError(str(path), reason="which is there already", action="choose another name", code="file-exists")
    try:
        path.parent.mkdir(parents=True, exist_ok=True)
        handle, name = tempfile.mkstemp(dir=path.parent, prefix=f".{path.name}.")
        try:
            with os.fdopen(handle, "w", encoding="utf-8", newline="\n") as file:
                file.write(text)
            Path(name).chmod(0o644)
            Path(name).replace(path)
        except BaseException:
            Path(name).unlink(missing_ok=True)
            raise
    except OSError as error:
        reason = error.strerror or "which cannot be written"
        raise UnwritableFileError(str(path), reason=reason, action="check the folder and the space left") from error
