"""The text of a table that a person or a program saved: UTF-8, UTF-16, or what Windows saves."""

from __future__ import annotations

_MARKS = (b"\xff\xfe", b"\xfe\xff")
_ENDS_OF_OLD_FILES = "\x1a"
_WHITE = "\t\n\r" + _ENDS_OF_OLD_FILES


def text_of(content: bytes) -> str | None:
    r"""Return the text of a file, without marks at its ends; None where it is none.

    >>> text_of(b"\xef\xbb\xbfBrix"), text_of(b"2 \xb0C"), text_of(b"\x89PNG\x00")
    ('Brix', '2 °C', None)
    """
    for encoding in ("utf-16",) if content[:2] in _MARKS else ("utf-8-sig", "cp1252"):
        try:
            text = content.decode(encoding)
        except UnicodeDecodeError:
            continue
        if not any(ord(letter) < 32 and letter not in _WHITE for letter in set(text)):
            return text.rstrip(_ENDS_OF_OLD_FILES)
    return None
