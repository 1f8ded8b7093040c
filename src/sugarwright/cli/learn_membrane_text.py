"""What was learnt about the membrane, in words."""

from __future__ import annotations

from collections.abc import Iterator
from typing import TYPE_CHECKING

from sugarwright.cli.output import columns, wrapped
from sugarwright.planning.cautions import CAUTIONS
from sugarwright.saying.membrane_lesson import (
    LessonWords,
    cleanings_text,
    lesson_table,
    next_text,
    replacement_text,
    stands_on_text,
    verdict_text,
    wash_text,
)

if TYPE_CHECKING:
    from sugarwright.learning.membrane_lesson import MembraneLearnt, MembraneLesson
    from sugarwright.plant.house import House


def learnt_lines(learnt: MembraneLearnt, house: House) -> Iterator[str]:
    """Yield what was learnt, and what became of it."""
    if learnt.lesson is None:
        yield f"Taken back: what was kept last of the membrane, in {learnt.file}."
        return
    yield from lesson_lines(learnt.lesson, house)
    if learnt.done == "kept":
        yield f"Kept in {learnt.file}; --undo takes it back."
    else:
        yield "Not kept: --keep keeps it, and plans then stand on it."


def lesson_lines(lesson: MembraneLesson, house: House) -> Iterator[str]:
    """Yield a lesson in plain words, 80 columns."""
    words = LessonWords(house)
    yield wrapped(stands_on_text(lesson, words))
    yield from (f"  {line}" for line in columns(lesson_table(lesson, words)))
    yield wrapped(verdict_text(lesson), "  ")
    if lesson.cleanings:
        yield wrapped(cleanings_text(lesson.cleanings, words), "  ")
    yield wrapped(wash_text(lesson, words), "> ", "  ")
    yield wrapped(replacement_text(lesson, words), "  ")
    if lesson.next_readings:
        yield wrapped(next_text(lesson, words), "  ")
    for doubt in lesson.doubts:
        yield wrapped(f"{words.moment(doubt.at_s)}: {doubt.what}. A slip?", "  ? ")
    for remark in lesson.remarks:
        yield wrapped(f"{words.moment(remark.at_s)}: not used, {remark.what}.", "  ")
    if lesson.scatter_ratio > 1.2:
        text = f"Readings scatter {lesson.scatter_ratio:.1f} times as much as their instruments"
        yield wrapped(f"{text} should; what is said above is that much less sure.", "  ")
    yield wrapped(CAUTIONS["wash"], "! ")
