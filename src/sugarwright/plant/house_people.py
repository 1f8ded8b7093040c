"""The people of the house: their hours, chores and prices, and how they work today."""

from __future__ import annotations

from sugarwright.plant.fields import choice, clock, quantity, section, spans, text, whole
from sugarwright.units import (
    DURATION,
    FLOW,
    MONEY,
    PRICE_PER_TIME,
    PRICE_PER_VOLUME,
    PRICE_PER_WOOD,
    VOLUME,
)

PLACEHOLDER = "a placeholder, no source: put in your own"
TIMES = (
    "each boil",
    "per syrup volume",
    "each membrane run",
    "each wash",
    "before a frost",
    "each sap day",
)


@section("People")
class Person:
    """Somebody who works here. Write one [[people]] for each.

    Outside these hours the person sleeps or is away: nothing that needs hands is planned.
    """

    name: str = text(default="maker", help="First name or initials.")
    weekdays: tuple[tuple[int, int], ...] = spans(
        default=["06:00-08:00", "17:00-21:30"],
        help="Hours this person gives from Monday to Friday.",
        ask="Which hours do you give on weekdays, as 06:00-08:00, 17:00-21:30 (or none)?",
    )
    weekends: tuple[tuple[int, int], ...] = spans(
        default=["07:00-21:30"],
        help="Hours on Saturday and Sunday.",
        ask="Which hours do you give on Saturday and Sunday (or none)?",
    )
    hour_money_s: float = quantity(
        PRICE_PER_TIME,
        default="$15/h",
        least="$0/h",
        greatest="$500/h",
        help="What an hour of this person's time is worth to you; only you can say.",
        source=PLACEHOLDER,
        ask="What is an hour of your time worth to you?",
    )


@section(
    "Chores",
    caution="Hot syrup burns deep: filter and pack with gloves and closed shoes. Never enter a "
    "closed tank.",
)
class Chore:
    """Work beside the fire and the membrane, which takes time too. One [[chore]] for each."""

    name: str = text(help="What is done.")
    when: str = choice(
        TIMES, help='When it comes round. "per syrup volume": each time that much syrup is made.'
    )
    duration_s: float = quantity(
        DURATION, least="0 min", greatest="24 h", help="Time it takes each time."
    )
    people: int = whole(default=1, least=1, greatest=10, help="People it takes.")
    per_m3: float | None = quantity(
        VOLUME,
        default=None,
        example="1 gal",
        least="0.05 gal",
        greatest="1000 gal",
        help='The syrup volume, for "per syrup volume".',
    )


@section("Prices")
class Prices:
    """What counts in a plan beside your hours."""

    syrup_money_m3: float = quantity(
        PRICE_PER_VOLUME,
        default="$50/gal",
        least="$0/gal",
        greatest="$2000/gal",
        help="What a gallon of your syrup brings you, after jars and sales.",
        source=PLACEHOLDER,
        ask="What does a gallon (or litre) of syrup bring you?",
    )
    wood_money_wood_m3: float = quantity(
        PRICE_PER_WOOD,
        default="$150/cord",
        least="$0/cord",
        greatest="$2000/cord",
        help="What wood costs you, or what you could sell it for; 0 if it is free.",
        source=PLACEHOLDER,
    )
    light_up_money: float = quantity(
        MONEY,
        default="$0",
        least="$0",
        greatest="$1000",
        help="What a light-up costs beyond its wood and time (kindling, wear).",
        source=PLACEHOLDER,
    )


@section("How you work today")
class Habit:
    """Your way of working without any plan. Plans are compared with it."""

    membrane_start: int = clock(
        default="07:00", help="You start the membrane no earlier than this ..."
    )
    membrane_sap_m3: float = quantity(
        VOLUME,
        default="100 gal",
        least="0 gal",
        greatest="50000 gal",
        help="... and when the sap tank holds this much.",
    )
    concentrate_flow_m3_s: float = quantity(
        FLOW,
        default="15 gal/h",
        least="0.1 gal/h",
        greatest="20000 gal/h",
        help="Where you set the concentrate valve.",
    )
    membrane_stop: int = clock(default="21:00", help="You stop it at this time at the latest.")
    wash_after_s: float = quantity(
        DURATION,
        default="10 h",
        least="0.5 h",
        greatest="500 h",
        help="You wash after this many running hours ...",
    )
    wash_at: int = clock(default="20:00", help="... at this time of the day.")
    fire_start: int = clock(default="17:00", help="You light the fire no earlier than this ...")
    fire_stock_m3: float = quantity(
        VOLUME,
        default="60 gal",
        least="0 gal",
        greatest="50000 gal",
        help="... and when this much feed waits for the pan.",
    )
    fire_stop: int = clock(default="21:00", help="You let the fire go at this time at the latest.")


USUAL_CHORES: tuple[tuple[str, str, str, str | None], ...] = (
    ("finish, filter and bottle", "per syrup volume", "20 min", "1 gal"),
    ("clean or change the pan's sides", "each boil", "15 min", None),
    ("rinse the tanks", "each sap day", "15 min", None),
    ("drain line, pump and membrane", "before a frost", "20 min", None),
)
"""Name, when, duration, per: written into a new file (common practice, no source)."""
