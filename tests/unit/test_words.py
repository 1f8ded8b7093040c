"""What people type, and what it is understood as."""

from __future__ import annotations

from datetime import UTC, datetime

import pytest

from house_files import PUMPED, SMALL
from sugarwright.errors import InputError
from sugarwright.logbook.entry import Entry
from sugarwright.logbook.possible import DoubtError
from sugarwright.logbook.telling import hints, tell, when_words
from sugarwright.logbook.words import understand
from sugarwright.plant.house import House
from sugarwright.plant.read_house import parse_house
from sugarwright.plant.write_house import house_toml

TANK = {
    "tank.sap.shape": "upright cylinder",
    "tank.sap.diameter": "48 in",
    "tank.sap.height": "54 in",
}
NOW_S = datetime(2027, 3, 19, 20, 15, tzinfo=UTC).timestamp()  # 16:15 in New York
GALLON_M3 = 0.003785411784  # 231 cubic inches, NIST SP 811


def house(second: str = "low corner", **changes: str) -> House:
    """An invented house with two gatherings, and a sap tank whose shape is known."""
    answers = {**PUMPED, "gathering.name": "north", **changes}
    del answers["tank.sap.volume"]
    text = house_toml({**answers, **TANK})
    return parse_house(f'{text}\n[[gathering]]\nname = "{second}"\ntaps = 80\nway = "gravity"\n')


HOUSE = house()


def one(text: str, of: House = HOUSE, *, sure: bool = False) -> Entry:
    (entry,) = understand(text, of, NOW_S, sure=sure).entries
    return entry


def refused(text: str, of: House = HOUSE) -> str:
    with pytest.raises(InputError) as caught:
        understand(text, of, NOW_S)
    return str(caught.value)


def clock(entry: Entry) -> str:
    return datetime.fromtimestamp(entry.at_s, UTC).strftime("%Y-%m-%d %H:%M:%S")


def values(entry: Entry) -> dict[str, float]:
    return {each.quantity: each.value for each in entry.measures}


@pytest.mark.parametrize(
    ("text", "kind", "place", "expected"),
    [
        ("sap 14in 1.9", "reading", "sap", {"depth": 14 * 0.0254, "brix": 1.9}),
        ("sap 35.56 cm, 1,9 %", "reading", "sap", {"depth": 0.3556, "brix": 1.9}),
        ("SAP 212 Gallons", "reading", "sap", {"volume": 212 * GALLON_M3}),
        ("stock tank 31 gal 5.8", "reading", "stock", {"volume": 31 * GALLON_M3, "brix": 5.8}),
        ("sap empty", "reading", "sap", {"volume": 0.0}),
        ("draw 1.5 gal", "draw", "pan", {"volume": 1.5 * GALLON_M3}),
        (
            "draw 1.5 gal 66.8 at 212F",
            "draw",
            "pan",
            {"volume": 1.5 * GALLON_M3, "brix": 66.8, "temperature": 100.0},
        ),
        ("wash", "wash", "membrane", {}),
        ("wash 60 gal", "wash", "membrane", {"volume": 60 * GALLON_M3}),
        ("rinse 1h30", "rinse", "membrane", {"duration": 5400.0}),
        ("membrane on 25 gal/h", "membrane_on", "membrane",
         {"concentrate_flow": 25 * GALLON_M3 / 3600}),
        ("set 20 gal/h", "setpoint", "membrane", {"concentrate_flow": 20 * GALLON_M3 / 3600}),
        ("membrane off", "membrane_off", "membrane", {}),
        (
            "running 41F 205psi 20gal/h 33gal/h feed 2.0 permeate 0.1",
            "reading",
            "membrane",
            {
                "temperature": 5.0,
                "pressure": 205 * 6894.757293168361,
                "concentrate_flow": 20 * GALLON_M3 / 3600,
                "permeate_flow": 33 * GALLON_M3 / 3600,
                "feed_brix": 2.0,
                "permeate_brix": 0.1,
            },
        ),
        ("lit", "fire_lit", "pan", {}),
        ("fire", "fire_lit", "pan", {}),
        ("fire out", "fire_out", "pan", {}),
        ("stoke", "stoke", "pan", {}),
        ("gather north 120 gal 1.8", "gather", "gathering:north",
         {"volume": 120 * GALLON_M3, "brix": 1.8}),
        ("low corner 12 gal", "gather", "gathering:low corner", {"volume": 12 * GALLON_M3}),
        ("low corner tank 12 gal", "reading", "gathering:low corner",
         {"volume": 12 * GALLON_M3}),
        ("dump stock 20 gal", "dump", "stock", {"volume": 20 * GALLON_M3}),
        ("bought 200 gal 2.1 paid 80", "sap_bought", "sap",
         {"volume": 200 * GALLON_M3, "brix": 2.1, "money": 80.0}),
        ("sold 10 gal 450 dollars", "syrup_sold", "syrup",
         {"volume": 10 * GALLON_M3, "money": 450.0}),
        ("sold sap 150 gal", "sap_sold", "sap", {"volume": 150 * GALLON_M3}),
        ("filter", "filter_change", "syrup", {}),
        ("tapped north 250", "tapped", "gathering:north", {"count": 250.0}),
        ("pulled", "pulled", "", {}),
        ("wood 2 1/4 cords", "reading", "woodpile", {"wood": 2.25 * 3.624556363776}),
        ("air -2C", "reading", "air", {"temperature": -2.0}),
    ],
)  # fmt: skip
def test_what_is_typed(text: str, kind: str, place: str, expected: dict[str, float]) -> None:
    entry = one(text)
    assert (entry.kind, entry.place) == (kind, place)
    assert values(entry) == pytest.approx(expected, rel=1e-12)
    assert entry.at_s == NOW_S
    assert entry.typed == text


def test_a_transfer_has_two_places() -> None:
    entry = one("transfer from sap to stock 20 gal")
    assert (entry.place, entry.to_place) == ("sap", "stock")


def test_words_flags_and_people() -> None:
    entry = one("syrup 3.2 gal amber good off-flavour buddy hot by Ann note for the fair, 12 jars")
    assert entry.words == {
        "colour": "amber",
        "taste": "good",
        "off_flavour": "buddy",
        "note": "for the fair, 12 jars",
    }
    assert entry.flags == ("hot",)
    assert entry.who == "Ann"


def test_instruments_and_uncertainty_belong_to_their_value() -> None:
    depth, brix = one("sap 14in ±0.5 stick 1.9 +-0.2 with refractometer").measures
    assert (depth.instrument, depth.sd) == ("stick", pytest.approx(0.5 * 0.0254))
    assert (brix.instrument, brix.sd) == ("refractometer", 0.2)


@pytest.mark.parametrize(
    ("text", "expected"),
    [
        ("sap 14in at 6:30", "2027-03-19 10:30:00"),
        ("at 6:30 am sap 14in", "2027-03-19 10:30:00"),
        ("sap 14in yesterday 18:00", "2027-03-18 22:00:00"),
        ("sap 14in at noon", "2027-03-19 16:00:00"),
        ("sap 14in at 15", "2027-03-19 19:00:00"),
        ("sap 14in 17 March 14:20", "2027-03-17 18:20:00"),
        ("sap 14in March 17th, 2:20 pm", "2027-03-17 18:20:00"),
        ("sap 14in 17.3. 14:20", "2027-03-17 18:20:00"),
        ("sap 14in 3/17/2027 14:20", "2027-03-17 18:20:00"),
        ("sap 14in 20 March 14:20", "2026-03-20 18:20:00"),  # this year's is still to come
        ("sap 14in Friday 9:00", "2027-03-19 13:00:00"),
        ("sap 14in Friday 18:00", "2027-03-12 23:00:00"),  # before the change to summer time
        ("sap 14in 20 min ago", "2027-03-19 19:55:00"),
        ("sap 14in half an hour ago", "2027-03-19 19:45:00"),
        ("sap 14in 2026-11-01 01:30 EDT", "2026-11-01 05:30:00"),
        ("sap 14in 2026-11-01 01:30 EST", "2026-11-01 06:30:00"),
        ("sap 14in 2026-11-01T01:30-05:00", "2026-11-01 06:30:00"),
    ],
)
def test_when_it_was(text: str, expected: str) -> None:
    assert clock(one(text)) == expected


def test_a_span() -> None:
    entry = one("wash yesterday 22:30 to 0:15")
    assert clock(entry) == "2027-03-19 04:15:00"
    assert entry.begin_s == entry.at_s - 105 * 60
    assert when_words(entry, HOUSE) == "18 March 22:30 to 00:15"


def test_one_time_is_for_all_that_is_said_and_a_later_clock_is_of_the_same_day() -> None:
    first, second = understand("sap 14in 1.9, stock 31 gal 5.8 at 6:30", HOUSE, NOW_S).entries
    assert clock(first) == clock(second) == "2027-03-19 10:30:00"
    lit, draw, out = understand(
        "17 March 14:20 lit by Ann, draw 1.5 gal, fire out at 18:00", HOUSE, NOW_S
    ).entries
    assert [clock(each)[8:16] for each in (lit, draw, out)] == ["17 18:20", "17 18:20", "17 22:00"]
    assert [each.who for each in (lit, draw, out)] == ["Ann"] * 3


@pytest.mark.parametrize(
    ("text", "told"),
    [
        ("sap 14", 'sap = "14": needs its unit; allowed: in, gal, Brix'),
        ("sap 19", 'Did you mean "1.9"'),
        ("gather north 120 1.8", '"120": needs its unit'),
        ("running 5.8", "feed 5.8, concentrate 5.8 or permeate 5.8"),
        ("stok 31 gal", 'Did you mean "stoke" or "stock"'),
        ("gather nroth 12 gal", 'Did you mean "north"'),
        ("gather 12 gal", "does not say which gathering; allowed: north, low corner"),
        ("sap 14 psi", "is a pressure"),
        ("sap 14 inn", 'Did you mean "in"'),
        ("sap", "what of it"),
        ("wood 2 face cords", "length of the sticks"),
        ("sap 14in 12in", "is a second depth"),
        ("sap -3 gal", "is less than nothing"),
        ("at 6 sap 14in", "a time is written 6:00 or 6 pm"),
        ("sap 14in at 23:00", 'is still to come: it is Friday 16:15. Write "yesterday 23:00"'),
        ("sap 14in at 5", 'in the morning or in the evening. Write "5:00", or "5 am" or "5 pm"'),
        ("sap 14in stock 3in", 'words = "stock": begins something else. Write it down by itself'),
        ("sap 14in tomorrow", "is not understood"),
        ("sap 14in yesterday", "at what time"),
        ("sap 14in 2027-03-14 2:30", 'does not exist on 2027-03-14, when clocks go forward. '
                                     'Write "01:30" or "03:30"'),
        ("sap 14in 2026-11-01 1:30", 'happens twice that day, when clocks go back. Write which is '
                                     'meant: "01:30 EDT" for the first, "01:30 EST"'),
        ("sap 14in 3/5 6:00", "can be 5 March or 3 May"),
        ("sap 14in 31 April 6:00", "is no day of the calendar"),
        ("sap 14in at 6:30 at 7:00", "is a second time"),
        ("by", "who"),
        ("", "say nothing that can be logged"),
    ],
)  # fmt: skip
def test_what_is_refused_says_what_to_do(text: str, told: str) -> None:
    assert told in refused(text)


@pytest.mark.parametrize(
    ("text", "meant"),
    [
        ("sap 14in 19", "1.9"),
        ("sap 60 in", "6 in"),
        ("sap 4120 gal", "412 gal"),
        ("stock 31 gal 58", "5.8"),
        ("draw 1.5 gal 6.68", "66.8"),
        ("set 20 gal/min", "20 gal/h"),
    ],
)
def test_what_cannot_be_is_asked_about_and_kept_when_the_person_is_sure(
    text: str, meant: str
) -> None:
    with pytest.raises(DoubtError, match="--sure") as caught:
        understand(text, HOUSE, NOW_S)
    assert caught.value.doubt.meant == meant
    assert one(text, sure=True).flags == ("doubtful",)


def test_what_can_be_is_not_flagged_by_being_sure() -> None:
    assert one("sap 14in 1.9", sure=True).flags == ()


def test_a_house_without_a_membrane_has_none_to_log() -> None:
    assert "the house has no membrane" in refused("wash", parse_house(house_toml(SMALL)))


def test_the_only_gathering_need_not_be_named() -> None:
    alone = parse_house(house_toml(PUMPED))
    assert one("gather 20 gal", alone).place == f"gathering:{alone.gathering[0].name}"


@pytest.mark.parametrize(
    ("name", "text", "kind"),
    [
        ("wash bottom", "wash bottom 12 gal", "gather"),  # longer than the word of the trade
        ("wash", "wash 12 gal", "wash"),  # could be both: the word of the trade stands
        ("wash", "gather wash 12 gal", "gather"),
        ("salt and pepper", "salt and pepper 12 gal", "gather"),
    ],
)
def test_own_names_win_only_where_nothing_else_can_be_meant(
    name: str, text: str, kind: str
) -> None:
    assert one(text, house(name)).kind == kind


def test_an_own_name_that_lost_is_told() -> None:
    of = house("wash")
    assert 'write "gather wash' in " ".join(hints(one("wash 12 gal", of), of))


def test_the_echo_says_what_was_understood() -> None:
    # A cylinder 48 in across holds pi 24^2 in3 an inch: 14 in are 109.7 gal of 231 in3.
    assert tell(one("sap 14in 1.9"), HOUSE) == "sap tank: 14 in on the stick (110 gal), 1.9 Brix"
    assert tell(one("dump stock 20 gal"), HOUSE) == "thrown away from the stock tank: 20 gal"
    assert tell(one("tapped north 250"), HOUSE) == "tapped at north: 250 taps"


def test_a_time_behind_what_is_no_word_is_refused_like_the_word_alone() -> None:
    for text in ("-", "- at 6:30", "at 6:30 -"):
        with pytest.raises(InputError, match="do not say what they are about"):
            understand(text, HOUSE, NOW_S)


@pytest.mark.parametrize(
    ("text", "expected"),
    [
        ("lit at 6pm yesterday", "2027-03-18 22:00:00"),
        ("lit at 6:30 on Monday", "2027-03-15 10:30:00"),
        ("lit 2:40 on 2027-03-10", "2027-03-10 07:40:00"),
        ("sap 200 gal 1.9 6:30 12 March ice", "2027-03-12 11:30:00"),
        ("sap 200 gal 1.9 6:30 yesterday, lit 7:00", "2027-03-18 10:30:00"),
    ],
)
def test_a_day_may_stand_behind_its_clock(text: str, expected: str) -> None:
    assert clock(understand(text, HOUSE, NOW_S).entries[0]) == expected


@pytest.mark.parametrize(
    ("text", "begin", "end"),
    [
        ("stoke yesterday from 18:00 to 21:00", "2027-03-18 22:00:00", "2027-03-19 01:00:00"),
        ("stoke 2027-03-12 from 6:00 to 9:30", "2027-03-12 11:00:00", "2027-03-12 14:30:00"),
        ("stoke from 6:00 to 9:30 yesterday", "2027-03-18 10:00:00", "2027-03-18 13:30:00"),
        ("stoke from 22:00 to 1:00 on 18 March", "2027-03-18 02:00:00", "2027-03-18 05:00:00"),
    ],
)
def test_the_day_of_a_span_may_stand_on_either_side(text: str, begin: str, end: str) -> None:
    entry = one(text)
    assert entry.begin_s is not None
    assert clock(entry) == end
    assert datetime.fromtimestamp(entry.begin_s, UTC).strftime("%Y-%m-%d %H:%M:%S") == begin


@pytest.mark.parametrize("typed", ["6 ice", "6.30", "0630", "630 overflow"])
def test_a_bare_number_behind_at_is_no_strength_unasked(typed: str) -> None:
    told = refused(f"sap 200 gal at {typed} by Ann")
    assert f'time = "at {typed.split()[0]}": can be a time or a value' in told
    assert '"at 6:' in told


@pytest.mark.parametrize(
    ("text", "quantity", "value"),
    [
        ("draw 1.5 gal at 66.8", "brix", 66.8),
        ("sap 200 gal at 1.9", "brix", 1.9),
        ("sap 200 gal at 2 Brix", "brix", 2.0),
        ("air at 12 C", "temperature", 12.0),
    ],
)
def test_what_is_no_clock_behind_at_is_a_value(text: str, quantity: str, value: float) -> None:
    assert one(text).value(quantity) == pytest.approx(value)


def test_a_fraction_is_no_strength() -> None:
    assert "needs its unit" in refused("sap 1/2")
    assert values(one("sap 14 1/2 in")) == pytest.approx({"depth": 14.5 * 0.0254})


def test_a_comma_needs_no_blank_beside_a_letter() -> None:
    said = understand("lit,draw 1.5gal,66,8,fire out", HOUSE, NOW_S).entries
    assert [each.kind for each in said] == ["fire_lit", "draw", "fire_out"]
    assert said[1].value("brix") == 66.8


def test_a_clock_that_shows_a_time_twice_is_told_in_words_that_are_understood() -> None:
    helsinki = house(**{"site.timezone": "Europe/Helsinki", "site.longitude": "25 E"})
    told = refused("lit 2026-10-25 3:30", helsinki)
    second = told.split('"')[-2]
    assert clock(one(f"lit {second}", helsinki)) == "2026-10-25 01:30:00"
    early, late = (one(f"lit 2026-11-01 1:30 {zone}") for zone in ("EDT", "EST"))
    assert (when_words(early, HOUSE), when_words(late, HOUSE)) == ("01:30 EDT", "01:30 EST")
