"""What a fire gives, how it is let go, and what then stands in the pan, in words."""

from __future__ import annotations

from collections.abc import Iterator

from sugarwright.planning.action import Action
from sugarwright.planning.dying import STAY
from sugarwright.planning.fire_chances import LIKELY
from sugarwright.saying.plan_words import TANKS
from sugarwright.saying.plan_words import PlanWords as Words
from sugarwright.units import VOLUME

HAVE_CHANCES = ("light the fire", "light the fire again", "fire at need", "let the fire go")
DYING = ("let the fire go now", STAY)  # what dies from the plan's beginning on
LEAST_LATER_M3 = 2e-4  # of syrup after midnight: less makes no difference worth a word

FOR_IT = "to keep liquid over the whole floor of the pan"
LEAST_HELD_M3 = 0.004  # a gallon: less in a tank is none


def draws_texts(words: Words, action: Action) -> Iterator[str]:
    """Yield the syrup of a fire, and its first draw; nothing where there is none."""
    if not action.draws or action.syrup_m3 is None:
        return
    count = "1 draw" if action.draws == 1 else f"{action.draws} draws"
    text = f"about {words.volume(action.syrup_m3)} of syrup in {count}"
    if (action.syrup_later_m3 or 0.0) > LEAST_LATER_M3:
        text += f", {words.volume(action.syrup_later_m3 or 0.0)} of it after midnight"
    yield text
    if action.first_draw_s is not None:
        yield f"the first about {words.when(action.first_draw_s, action.time_s)}"


def left_texts(words: Words, action: Action) -> Iterator[str]:
    """Yield what becomes of the sugar in the pan after the last fire that there is sap for."""
    if action.left_syrup_m3 is None:
        return
    syrup = words.volume(action.left_syrup_m3)
    yield (
        "no draw is expected from it, and hardly any sap is to come: the pan will stand at about "
        f"{action.left_brix or 0.0:.0f} Brix, with the sugar of some {syrup} of syrup, which the "
        "plan counts on"
    )
    yield _finish(words)


def pan_left_text(words: Words) -> str:
    """Say what stands in a pan for which there is neither fire nor sap; nothing where there is."""
    left = words.report.pan_left
    if left is None:
        return ""
    until = words.day(words.report.end_s)
    return (
        f"about {left.brix:.0f} Brix stands in it, with the sugar of some "
        f"{words.volume(left.syrup_m3)} of syrup; no fire is planned, and hardly any sap is to "
        f"come by {until}. If the season is over, {_finish(words)}"
    )


def _finish(words: Words) -> str:
    others = "permeate or water" if words.report.standing.has_membrane else "water"
    return (
        f"finish it within days: push it through with {others}, or drain it and finish it in a "
        "smaller pan. Left standing it spoils"
    )


def is_unlikely(action: Action) -> bool:
    """Tell whether it comes to a fire in so few weathers that its own line must say so."""
    chance = action.probability
    return chance is not None and action.kind in HAVE_CHANCES and round(10.0 * chance) < LIKELY


def chance_text(action: Action) -> str:
    """Return in how many weathers it comes to a fire; nothing where it does in most."""
    if not is_unlikely(action):
        return ""
    tenths = round(10.0 * (action.probability or 0.0))
    return f"likely in {tenths} of 10 weathers" if tenths else "in fewer than 1 of 10 weathers"


def keep_text(words: Words, action: Action) -> str:
    """Return how long a fire that burns is kept; first of all, who must stay for it."""
    wood = "wood, and " if action.ends == "fuel" else ""
    text = f"keep the fire, as long as there is {wood}feed above the reserve"
    ends = stay_ends(words, action)
    return f"{ends[0]}: {text}; {ends[1]}" if ends else text


def _condition(action: Action) -> str:
    """What must have come to pass for a last wood to be due."""
    if action.only_if_stay_s is not None:
        return "if you stayed: "
    return "if it was lit: " if is_unlikely(action) else ""


def if_stays_text(action: Action) -> str:
    """Return what stands behind the name of a fire kept beyond the house's own hours, or its end.

    Nothing where those suffice.
    """
    if action.only_if_stay_s is None:
        return ""
    return ", if you stayed" if action.else_stay_s is None else ", only if you can stay"


def stay_ends(words: Words, action: Action) -> tuple[str, str] | None:
    """Return both ends of a fire kept beyond the house's own hours; None where those suffice."""
    if action.only_if_stay_s is None or action.else_stay_s is None:
        return None
    stay, otherwise = (
        words.when(each, action.time_s) for each in (action.only_if_stay_s, action.else_stay_s)
    )
    return (
        f"only if you can stay until about {stay}",
        f"else no more wood now, and stay until about {otherwise}",
    )


def let_go_texts(words: Words, action: Action) -> Iterator[str]:
    """Yield when the last wood goes on, with how much feed left, and how long to stay."""
    reserve = words.show(action.reserve_m3 or 0.0, VOLUME)
    if action.ends == "fuel" and action.expected_s is not None:
        gone = words.when(action.expected_s, action.time_s)
        yield f"the wood is gone about {gone}: have {reserve} of feed left then, {FOR_IT}"
    else:
        latest = f", by {words.clock(action.latest_s)} at the latest" if action.latest_s else ""
        yield f"{_condition(action)}last wood when {reserve} of feed is left{latest}, {FOR_IT}"
    yield from _stay(words, action)


def if_lit_texts(words: Words, action: Action) -> Iterator[str]:
    """Yield how a fire ends that is not expected, should it be lit; nothing of one that is."""
    end = action.last_wood
    if end is None:
        return
    reserve, latest = words.show(end.reserve_m3, VOLUME), words.when(end.latest_s, action.time_s)
    stay = words.when(end.leave_s, end.latest_s)
    yield (
        f"if it is lit: last wood when {reserve} of feed is left, by {latest} at the latest, "
        f"{FOR_IT}; stay until it has died down, till {stay} at the latest"
    )


def let_go_now_texts(words: Words, action: Action) -> Iterator[str]:
    """Yield how a fire that burns is let go now, with liquid over the whole floor of the pan."""
    boils_off = words.volume(action.boils_off_m3 or 0.0, 0)
    why = "the wood is gone" if action.ends == "fuel" else "no more wood now"
    yield f"{why}: let the fire go; as it dies it boils off up to {boils_off} more"
    cover, *stay = cover_texts(words, action)
    yield cover
    drawn = "; ".join(draws_texts(words, action))
    if drawn:
        yield f"it may still give {drawn}"
    yield from left_texts(words, action)
    yield from stay


def stay_with_texts(words: Words, action: Action) -> Iterator[str]:
    """Yield how long to stay with a fire that was let go before, and what keeps its pan wet."""
    until = words.when(action.leave_s or action.time_s, action.time_s)
    boils_off = words.volume(action.boils_off_m3 or 0.0, 0)
    yield f"the fire dies down: no more wood; stay with the pan until it has, about {until}"
    yield _cover(words, action)
    drawn = "; ".join(draws_texts(words, action))
    may_give = f"; it may still give {drawn}" if drawn else ""
    yield f"as it dies it boils off up to {boils_off} more{may_give}"
    yield from left_texts(words, action)


def cover_texts(words: Words, action: Action) -> list[str]:
    """Return what keeps liquid in the pan while a fire dies that is let go now, and how long."""
    return [_cover(words, action), *_stay(words, action)]


def _cover(words: Words, action: Action) -> str:
    """Say what keeps liquid in the pan: the feed that is there, or whatever can be poured in."""
    tank, held_m3 = _feed(words)
    held = f"the {words.volume(held_m3, 0)} in {TANKS[tank]}"
    if not lacks_feed(words, action):
        return f"keep liquid over the whole floor of the pan: feed it on, {held} are enough"
    lack = f"{held} may not be enough" if held_m3 >= LEAST_HELD_M3 else f"{TANKS[tank]} is empty"
    return f"{lack}: {poured(words)} before the pan is bare; draw the coals if you must"


def lacks_feed(words: Words, action: Action) -> bool:
    """Tell whether a fire that is let go has less feed than it may take until it has died."""
    now = action.kind in DYING
    return now and _feed(words)[1] < (action.reserve_m3 or 0.0)


def _feed(words: Words) -> tuple[str, float]:
    """Return the tank that feeds the pan as the plan begins, and what is in it, m³."""
    now = words.report.standing
    return ("stock", now.stock_m3) if now.has_membrane else ("sap", now.sap_m3)


def poured(words: Words) -> str:
    """Say what to pour into a hot pan whose feed runs out: whatever this house has."""
    now = words.report.standing
    return "pour in sap, permeate or water" if now.has_membrane else "pour in sap or water"


def _stay(words: Words, action: Action) -> Iterator[str]:
    if action.leave_s is not None:
        yield f"stay until it has died down, about {words.when(action.leave_s, action.time_s)}"
