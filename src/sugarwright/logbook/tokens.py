"""A text cut into its note, its parts and their words."""

from __future__ import annotations

import re
from collections.abc import Container, Iterable, Sequence
from dataclasses import dataclass

from sugarwright.errors import InputError
from sugarwright.units.number import tidy

LONGEST_TEXT = 2000
_LONGEST_PHRASE = 8
_NOTE = re.compile(r"(?:(?<=[\s,;])|^)notes?(?::|\s|$)\s*", re.IGNORECASE)
_PARTS = re.compile(  # a comma between digits is of a number: "1,9"
    r";|\n|,(?=\s|$|[^\W\d_])|(?<=[^\W\d_]),|(?<=\s)(?:and|then)(?=\s)", re.IGNORECASE
)
_WORD = re.compile(r'"[^"]*"(?=\s|$)|\S+')
_DAY_AND_MONTH = re.compile(r"[0-9]{1,2}\.[0-9]{1,2}\.")  # "17.3.": its dot says that it is a date
_WITHIN = re.compile(r"\+/?-(?=\.?[0-9])")


@dataclass(frozen=True)
class Word:
    """A word of a part: as typed, and as it is compared.

    Parameters
    ----------
    typed : look-alike characters made plain
    plain : without letter case; of a text in quotes what stands inside
    quoted : it stood in quotes, and means what it says
    """

    typed: str
    plain: str
    quoted: bool = False


def split_note(text: str) -> tuple[str, str]:
    """Return the text before a note, and the note as it was typed (it goes on to the end).

    Raises
    ------
    InputError : the text is empty or too long
    """
    if len(text) > LONGEST_TEXT:
        problem = f"is too long: {len(text)} letters"
        raise InputError("words", text, problem, f"{LONGEST_TEXT} letters")
    text = "".join(letter if letter.isprintable() else _blank(letter) for letter in text)
    found = _NOTE.search(text)
    if found is None:
        return text, ""
    return text[: found.start()], text[found.end() :].strip()


def _blank(letter: str) -> str:
    return letter if letter == "\n" else " "


def split_parts(text: str, names: Iterable[str] = ()) -> list[tuple[str, list[Word]]]:
    """Return the words of each part of a text, and what parts it from the one before.

    Whether a part stands alone is for the reader to decide. Names ("salt and pepper") and what is
    in quotes stay whole.
    """
    kept = [r'(?<=\s)"[^"]*"(?=\s|$)', *(re.escape(name) for name in names)]
    quoted = [match.span() for match in re.finditer("|".join(kept), text, re.IGNORECASE)]
    cuts = [
        match
        for match in _PARTS.finditer(text)
        if not any(begin < match.start() < end for begin, end in quoted)
    ]
    parts, at, sign = [], 0, ""
    for cut in cuts:
        parts.append((sign, text[at : cut.start()]))
        at, sign = cut.end(), cut[0]
    parts.append((sign, text[at:]))
    return [(sign, words) for sign, part in parts if (words := _words(part))]


def _words(part: str) -> list[Word]:
    plain = tidy(_WITHIN.sub(" ±", part.replace("±", " ±")))
    plain = re.sub(r"± ", "±", plain)
    return [_word(match[0]) for match in _WORD.finditer(plain)]


def _word(typed: str) -> Word:
    if len(typed) > 1 and typed[0] == typed[-1] == '"':
        inside = typed[1:-1].strip()
        return Word(inside, inside.casefold(), True)
    bare = typed if _DAY_AND_MONTH.fullmatch(typed) else re.sub(r"(?<=\w)[,.:]+$", "", typed)
    return Word(bare, bare.casefold())


def plain_words(text: str) -> tuple[str, ...]:
    """Return the words of a name as they are compared."""
    return tuple(word.plain for word in _words(text))


def longest(
    words: Sequence[Word], at: int, phrases: Container[tuple[str, ...]]
) -> tuple[str, ...] | None:
    """Return the longest of some phrases that stands at a place, if one does."""
    there: list[str] = []
    for word in words[at : at + _LONGEST_PHRASE]:
        if word.quoted:
            break
        there.append(word.plain)
    tries = (tuple(there[:count]) for count in range(len(there), 0, -1))
    return next((phrase for phrase in tries if phrase in phrases), None)
