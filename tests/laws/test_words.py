"""Any text is an entry or a clear refusal; an entry written back in words is the same entry."""

from __future__ import annotations

import dataclasses
import itertools
from datetime import UTC, datetime

import pytest
from hypothesis import example, given, settings
from hypothesis import strategies as st

from house_files import PUMPED
from sugarwright.errors import InputError
from sugarwright.logbook.catalogue import FLAGS, INSTRUMENTS, KINDS, QUANTITIES
from sugarwright.logbook.entry import Entry, Measure
from sugarwright.logbook.forms import FORMS, Form
from sugarwright.logbook.retell import retell
from sugarwright.logbook.telling import tell, when_words
from sugarwright.logbook.vocabulary import (
    FILLERS,
    FLAG_WORDS,
    NAMED,
    TELLING,
    kind_of_quantity,
)
from sugarwright.logbook.words import understand
from sugarwright.plant.house import House
from sugarwright.plant.read_house import parse_house
from sugarwright.plant.write_house import house_toml
from sugarwright.units import BRIX

HOUSE: House = parse_house(house_toml({**PUMPED, "gathering.name": "north"}))
NOW_S = datetime(2027, 3, 19, 20, 0, tzinfo=UTC).timestamp()
HEADS = [head for form in FORMS for head in form.heads]
UNITS = ["gal", "in", "L", "cm", "Brix", "%", "F", "C", "psi", "gal/h", "L/min", "h", "min", "cord"]
TIMES = ["at 6:30", "yesterday 18:00", "17 March 14:20", "20 min ago", "from 6:00 to 7:00", "at 6"]


def meaning(entry: Entry) -> Entry:
    """The entry without what belongs to one telling of it alone."""
    bare = tuple(dataclasses.replace(each, typed="") for each in entry.measures)
    return dataclasses.replace(
        entry, key="k", typed="", made_s=0.0, measures=bare, words=dict(entry.words)
    )


def understood(text: str) -> tuple[Entry, ...] | None:
    """What a text is understood as; None when it is refused with words."""
    try:
        return understand(text, HOUSE, NOW_S, sure=True).entries
    except InputError as error:
        return None if str(error).strip() else ()


numbers = st.one_of(
    st.integers(0, 400).map(str),
    st.floats(0.0, 100.0).map(lambda each: f"{each:.1f}"),
    st.sampled_from(["1 1/2", "1/4", "2,1", "-3", ".5", "1,200", "1e3", "1.2.3", "½", "$40"]),
)
words = st.one_of(
    st.sampled_from([*HEADS, *NAMED, *TELLING, *FILLERS, "north", "by Ann", ",", ";", "note"]),
    st.sampled_from([*(" ".join(each) for each in FLAG_WORDS), *INSTRUMENTS, *TIMES, "full"]),
    st.builds(lambda number, unit: f"{number}{unit}", numbers, st.sampled_from(UNITS)),
    st.builds(lambda number, unit: f"{number} {unit}", numbers, st.sampled_from(UNITS)),
    numbers,
    st.text(max_size=6),
)


@given(st.lists(words, max_size=8).map(" ".join))
@settings(max_examples=150)
@example("")
@example('sap "')
@example("by")
@example("±")
@example("sap ±1")
@example("9999-12-31 23:59 sap 3 gal")
@example("sap 31 February 6:00 3 gal")
@example("sap 1e999 gal")
@example("5 h ago ago")
def test_any_words_are_entries_or_a_refusal(text: str) -> None:
    for entry in understood(text) or ():
        assert entry.at_s <= NOW_S + 60.0
        assert tell(entry, HOUSE)
        assert when_words(entry, HOUSE)


@given(st.text(max_size=200))
@settings(max_examples=150)
def test_any_text_is_entries_or_a_refusal(text: str) -> None:
    understood(text)


@st.composite
def statements(draw: st.DrawFn) -> str:
    """Statements that are mostly understood: what a form takes, in its units, in any order."""
    form: Form = draw(st.sampled_from(FORMS))
    places = {"": "", "gathering?": "", "gathering": "north", "tank": "stock", "tanks": "sap stock"}
    wanted = draw(st.sets(st.sampled_from(form.quantities))) if form.quantities else set()
    parts = [*(amount(draw, each) for each in sorted(wanted | set(form.needs[:1])))]
    more = ["ice", "hot", "at 6:30", "yesterday 18:00", "by Ann", "good", "very dark", "cleaner x"]
    parts += draw(st.lists(st.sampled_from(more), unique=True, max_size=2))
    begun = f"{draw(st.sampled_from(form.heads))} {places[form.asks]}"
    return " ".join(
        [begun, *draw(st.permutations(parts)), *draw(st.sampled_from([[], ["note a"]]))]
    )


def amount(draw: st.DrawFn, quantity: str) -> str:
    """A number with a unit of its quantity, named where the unit does not tell."""
    kind = kind_of_quantity(quantity)
    units = ["Brix", "%"] if kind is BRIX else [each.name for each in kind.units] if kind else [""]
    name = next(name for name, means in NAMED.items() if quantity in means)
    unit = draw(st.sampled_from(units))
    return f"{name} {draw(numbers.filter(lambda each: '$' not in each))}{unit}"


@given(statements())
@settings(max_examples=150)
@example("17 March 14:20 lit")
@example("sap 5 ft 3 in 1.9 with refractometer")
@example("sap full")
@example("draw 1 gal light 1 1/2")
@example("draw 1 gal light 72 %")
@example('cleaner "a b" wash')
@example("sap 14in 2026-11-01 1:30 EST")
@example("wash paid 0 volume 1/4gal")
def test_what_was_understood_is_understood_again_from_its_own_words(text: str) -> None:
    entries = understood(text)
    for entry in entries or ():
        again = understood(retell(entry, HOUSE))
        assert again is not None
        assert len(again) == 1
        assert meaning(again[0]) == meaning(entry)
        assert [each.typed for each in again[0].measures] == [m.typed for m in entry.measures]


@st.composite
def entries(draw: st.DrawFn) -> Entry:
    """Entries with any values in SI, as another program might make them."""
    form: Form = draw(st.sampled_from([form for form in FORMS if form.kind != "note"]))
    place = form.place or (draw(st.sampled_from(["gathering:north"])) if form.asks else "")
    needed = form.needs[:1]
    others = [each for each in form.quantities if each not in needed]
    wanted = [*needed, *draw(st.lists(st.sampled_from(others), unique=True, max_size=3))] if (
        others
    ) else list(needed)  # fmt: skip
    at_s = draw(st.integers(0, int(NOW_S)))
    texts = (
        st.text("abc xyz-é", min_size=1, max_size=9)
        .map(lambda each: " ".join(each.split()))
        .filter(bool)
    )
    return Entry(
        key="k",
        kind=form.kind,
        at_s=float(at_s),
        made_s=0.0,
        begin_s=draw(st.none() | st.integers(0, at_s).map(float)),
        place=place,
        to_place="stock" if form.asks == "tanks" else "",
        measures=tuple(draw(measures(each)) for each in wanted),
        words=draw(
            st.dictionaries(st.sampled_from(["colour", "taste", "off_flavour", "note"]), texts)
        ),
        flags=tuple(draw(st.lists(st.sampled_from(sorted(FLAGS)), unique=True))),
        who=draw(st.sampled_from(["", "Ann", "Old Tom"])),
    )


@st.composite
def measures(draw: st.DrawFn, quantity: str) -> Measure:
    """Measures in SI, never typed by anyone."""
    sizes = st.floats(1e-6, 90.0)
    instruments = [n for n, each in INSTRUMENTS.items() if each.quantity == quantity]
    return Measure(
        quantity,
        draw(sizes),
        draw(st.none() | sizes),
        "",
        draw(st.sampled_from(["", "own make", *instruments])),
    )


@given(entries())
@settings(max_examples=150)
def test_an_entry_written_back_in_words_is_the_same_entry(entry: Entry) -> None:
    again = understood(retell(entry, HOUSE))
    assert again is not None
    doubted = set(again[0].flags) - set(entry.flags)
    assert doubted <= {"doubtful"}
    same = dataclasses.replace(again[0], flags=entry.flags)
    assert [meaning(same)] == [meaning(entry)]


SEVERAL = [form for form in FORMS if len(form.quantities) > 1]


@pytest.mark.parametrize("form", SEVERAL, ids=lambda form: form.example)
@pytest.mark.parametrize("value", [0.25, 1.0])
def test_numbers_in_a_row_stay_apart_in_whichever_order(form: Form, value: float) -> None:
    entry = Entry("k", form.kind, 0.0, 0.0, None, form.place)
    if form.asks:
        entry = dataclasses.replace(entry, place="gathering:north")
    if form.asks == "tanks":
        entry = dataclasses.replace(entry, to_place="stock")
    for several in itertools.permutations(form.quantities, min(3, len(form.quantities))):
        if not set(form.needs[:1]) <= set(several):
            continue
        said = tuple(Measure(each, value, None, "", "") for each in several)
        text = retell(dataclasses.replace(entry, measures=said), HOUSE)
        again = understood(text)
        assert again is not None, text
        assert [each.quantity for each in again[0].measures] == list(several), text
        assert [each.value for each in again[0].measures] == [value] * len(several), text


@pytest.mark.parametrize("form", FORMS, ids=lambda form: form.example)
def test_a_form_takes_what_its_kind_may_hold(form: Form) -> None:
    kind = KINDS[form.kind]
    assert set(form.quantities) <= set(kind.quantities)
    assert not form.place or form.place in kind.places
    assert set(form.needs) <= set(form.quantities) <= set(QUANTITIES)


@pytest.mark.parametrize("form", FORMS, ids=lambda form: form.example)
def test_the_example_of_a_form_is_understood_as_that_form(form: Form) -> None:
    text = form.example.replace("main", "north")
    (entry,) = understand(text, HOUSE, NOW_S).entries
    assert entry.kind == form.kind
    assert not form.place or entry.place == form.place
