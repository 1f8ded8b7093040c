"""Whether a folder is the demo's: invented, so that nobody takes its figures for real ones."""

from __future__ import annotations

from pathlib import Path

from sugarwright.answering.folder import HOUSE_FILE, folder_of

MARK = "invented"
"""In the first line of each file of the demo, by which it knows its own."""
_LOOKED_AT_BYTES = 200


def is_invented(folder: str) -> bool:
    """Tell whether the description in a folder says in its first line that it is invented.

    A description that cannot be read says nothing.
    """
    try:
        return is_invented_file(Path(folder_of(folder)) / HOUSE_FILE)
    except (OSError, ValueError):
        return False


def is_invented_file(path: Path) -> bool:
    """Tell whether a file is one of the demo's.

    Raises
    ------
    OSError : it cannot be read
    """
    with path.open("rb") as file:
        return MARK.encode() in file.readline(_LOOKED_AT_BYTES)
