"""Laws of reading and showing: round trips, robustness, nothing but named errors."""

from __future__ import annotations

import math

from hypothesis import assume, example, given, settings
from hypothesis import strategies as st

from sugarwright.errors import QuantityError, RangeError
from sugarwright.units import (
    ANGLE,
    BRIX,
    DURATION,
    KINDS,
    MONEY,
    TEMPERATURE,
    Kind,
    from_unit,
    parse,
    parse_clock,
    parse_span,
    show,
    to_unit,
)

kinds = st.sampled_from(KINDS)
systems = st.sampled_from(["us", "metric"])


@st.composite
def kinds_with_units(draw: st.DrawFn) -> tuple[Kind, str]:
    kind = draw(kinds)
    return kind, draw(st.sampled_from(sorted(kind.table)))


def allowed_error(number: float, text: str, kind: Kind, unit: str) -> float:
    """Half a step of the last digit that show() promises, in the unit shown."""
    if kind is DURATION and unit in ("h", "min") and " h" in text:
        return 30.0 / (3600.0 if unit == "h" else 60.0)  # to the minute
    if unit in kind.decimals:
        return 0.5 * 10.0 ** -kind.decimals[unit]
    if kind.suffix.startswith("_money") and (kind is MONEY or abs(number) >= 0.1):
        return 0.005 if abs(number) < 100.0 else 0.5
    return min(0.05 * abs(number), 0.5)  # two significant digits, whole numbers in full


@settings(max_examples=300, deadline=None)
@given(kind=kinds, system=systems, size=st.floats(-4, 6), negative=st.booleans())
@example(kind=DURATION, system="us", size=math.log10(1 - 1 / 3600), negative=False)
@example(kind=DURATION, system="us", size=math.log10(72 - 1 / 3600), negative=False)
def test_what_is_shown_is_read_back_within_its_rounding(
    kind: Kind, system: str, size: float, negative: bool
) -> None:
    # A magnitude of the kind's largest display unit, over ten decades.
    unit = kind.ladder(system)[-1][0]
    scale = 3600.0 if kind is DURATION else kind.table[unit][0]
    value = scale * 10.0**size * (-1.0 if negative else 1.0)
    assume(kind.least <= value <= kind.greatest)
    shown_in = kind.display_unit(value, system)
    number = to_unit(value, kind, shown_in)
    text = show(value, kind, system)
    if kind in (TEMPERATURE, BRIX, ANGLE) and min(value - kind.least, kind.greatest - value) < 1.0:
        return  # rounding at the end of what exists may step over it
    back = to_unit(parse(text, kind), kind, shown_in)
    assert abs(back - number) <= allowed_error(number, text, kind, shown_in) * (1 + 1e-9), text


@settings(max_examples=200, deadline=None)
@given(pair=kinds_with_units(), number=st.floats(-1e6, 1e6))
def test_conversion_there_and_back(pair: tuple[Kind, str], number: float) -> None:
    kind, unit = pair
    back = to_unit(from_unit(number, kind, unit), kind, unit)
    # Kelvin and Fahrenheit subtract an offset: absolute error of a few units in the last place.
    assert math.isclose(back, number, rel_tol=1e-12, abs_tol=1e-9)


@settings(max_examples=200, deadline=None)
@given(pair=kinds_with_units(), number=st.integers(0, 90), spaces=st.text(" \t\u00a0", max_size=3))
def test_spaces_change_nothing(pair: tuple[Kind, str], number: int, spaces: str) -> None:
    kind, unit = pair
    assume(not (unit == "" and number > 1))
    tight = parse(f"{number}{unit}", kind)
    assert parse(f"{spaces}{number}{spaces}{unit}{spaces}", kind) == tight


@settings(max_examples=400, deadline=None)
@given(
    kind=kinds,
    text=st.one_of(
        st.text(max_size=20),
        st.text("0123456789 .,/+-eE'\"°%$½gGalLmMhHinftFCkKWJBrx", max_size=15),
    ),
)
def test_any_text_is_a_finite_number_or_a_named_error(kind: Kind, text: str) -> None:
    try:
        value = parse(text, kind, "some field")
    except (QuantityError, RangeError) as error:
        refused = error
    else:
        assert math.isfinite(value)
        return
    assert (refused.field, refused.value) == ("some field", text)


@settings(max_examples=300, deadline=None)
@given(text=st.one_of(st.text(max_size=12), st.text("0123456789:hapm. -to", max_size=14)))
def test_any_text_is_a_clock_time_or_a_named_error(text: str) -> None:
    for read in (parse_clock, parse_span):
        try:
            found = read(text)
        except QuantityError:
            continue
        ends = found if isinstance(found, tuple) else (found,)
        assert all(0 <= end <= 1440 for end in ends)
