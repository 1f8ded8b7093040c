"""One thing to do in a plan, as it is handed to whoever shows it: plain values, SI, UTC seconds."""

from __future__ import annotations

from dataclasses import dataclass


@dataclass(frozen=True)
class Trigger:
    """The gauge that an action waits for: a tank that holds at least so much.

    Parameters
    ----------
    tank : "sap", "stock", "permeate", or "gathering:NAME"
    at_least_m3 : what it must hold
    """

    tank: str
    at_least_m3: float


@dataclass(frozen=True)
class OwnHour:
    """What holds from an action's own hour on, where a fuller tank is expected to call before it.

    Parameters
    ----------
    time_s : UTC s
    at_least_m3 : what the tank must hold from then on
    flow_m3_s : concentrate setting from then on, where it differs
    """

    time_s: int
    at_least_m3: float
    flow_m3_s: float | None = None


@dataclass(frozen=True)
class Wait:
    """What keeps the membrane from being started at the plan's own hour, and until when.

    Parameters
    ----------
    why : "frost" (where it stands), "out of order", "circuit" (which the fire takes), "wash",
        "stock tank full" (too full to be worth it)
    until_s : UTC s, as expected; None where it does not end that day
    """

    why: str
    until_s: int | None


@dataclass(frozen=True)
class Slack:
    """The span of starting times that cost less than a few dollars against the plan.

    Whoever waits for such a time waits for it whatever a full tank calls for.

    Parameters
    ----------
    earliest_s, latest_s : UTC s
    costs_less_than_money : what no start between them costs
    """

    earliest_s: int
    latest_s: int
    costs_less_than_money: float


@dataclass(frozen=True)
class Delay:
    """What the next later start costs, where the hour told is not free by a few dollars.

    Parameters
    ----------
    time_s : UTC s of it
    costs_money : what it costs against the plan
    """

    time_s: int
    costs_money: float


@dataclass(frozen=True)
class Reason:
    """What leaving the action out would change, in the mean over the weathers.

    Where a full tank calls for the machine all the same, its hour left out, that call is left out
    with it, and so it is where the machine runs more than once that day: then this is what the day
    would be without the machine.

    Parameters
    ----------
    money : net worth lost without it
    syrup_m3 : syrup (drawn within the plan's hours) lost without it
    spilled_m3 : sap that would run over or spoil without it, beside what does with it
    full_probability : how much likelier a full sap tank would be
    older_money : what of ``money`` is lost by age: syrup and what is left would be of older sap
    of_day : whether it is of the day without the machine
    spilled_weathers : in how many weathers, one or two, more than half of ``spilled_m3`` is lost;
        None where that is spread over more
    """

    money: float
    syrup_m3: float
    spilled_m3: float
    full_probability: float
    older_money: float = 0.0
    of_day: bool = False
    spilled_weathers: int | None = None


@dataclass(frozen=True)
class Overload:
    """What the sugarhouse's circuit does not carry together.

    Parameters
    ----------
    machines : of "membrane", "blower", "pump", the action's own first
    together_a : their currents
    circuit_a : what the breaker allows
    """

    machines: tuple[str, ...]
    together_a: float
    circuit_a: float


@dataclass(frozen=True)
class Alone:
    """What one person who fetches sap, with nobody else free, has to do besides.

    Parameters
    ----------
    wash_first, start_first : start the membrane's wash, or the membrane, before setting out
    stop_load, stop_s : number of the load before which to stop it, and UTC s of that; None where
        it runs on or stands, the load alone where none is under way then
    looks : it runs meanwhile, and may not alone: look at it between loads
    light_after : a fire is due meanwhile: not before the last load is in
    """

    wash_first: bool = False
    start_first: bool = False
    stop_load: int | None = None
    stop_s: int | None = None
    looks: bool = False
    light_after: bool = False


@dataclass(frozen=True)
class LastWood:
    """How a fire ends that the forecast itself does not bring, in the weathers that do.

    Parameters
    ----------
    latest_s : UTC s of the last wood at the latest
    reserve_m3 : feed to be left then at the least, for the burn-down
    leave_s : UTC s until which somebody then stays with it
    """

    latest_s: int
    reserve_m3: float
    leave_s: int


@dataclass(frozen=True)
class Action:
    """One thing to do: a clock time and a gauge.

    Parameters
    ----------
    kind : "membrane on", "membrane runs on" (it does already), "membrane on again", "again through
        the membrane" (from the stock tank), "light the fire", "keep the fire" (it burns already),
        "light the fire again", "membrane at need", "fire at need", "gather at need" (not planned,
        but at once if the trigger's tank is so full), "let the fire go", "stay with the pan" (of
        a fire let go before), "let the fire go now" (it burns, and is not kept),
        "gather sap" (in trips, from a gathering point), "wash the membrane", "drain before the
        frost", "dump what has spoiled", "stop the membrane" (which runs, and nothing planned goes
        on from it), "rinse the membrane" (which stopped without)
    time_s : UTC s at which to look at the gauge and begin
    on_arrival : somebody comes in then, and nobody was there for an hour: it is done first thing
    trigger : the gauge it waits for; None when the clock alone decides
    call_m3 : level of the same tank that calls for it before its time; None without one
    call_flow_m3_s : setting of the membrane from that level on, until midnight; None: as it is
    by_call : no hour of the plan asks for it, but a full tank does, which the forecast brings:
        ``trigger`` is that tank's level, and it begins at whatever hour that is reached
    own_hour : where that level is expected before the plan's own hour: time, trigger and setting
        are then the call's, and this is what holds if it does not come; else None
    waits : what keeps the membrane from its hour in the plan, in order; ``time_s`` is after all
    latest_s : UTC s after which it is no longer done that day; None when there is no limit
    flow_m3_s : concentrate setting, for the membrane
    night_flow_m3_s : setting at which it goes on alone overnight, where the house allows that
    left_alone_s : UTC s at which the last one leaves it to itself, as often as that day
    runs_at_m3_s : of a stop: setting at which it runs until then; None where it is stopped at once
    expected_s : UTC s at which it comes to pass if the forecast is right; None if it does not
    until_s : and at which it ends by itself
    ends : why it ends: "sap tank down", "stock passed again", "stock tank low" (which passed
        again), "stock tank full", "people leave", "time" (of a fire; of the membrane, for its
        wash), "hour", "circuit" (which cannot carry it beside the fire), "frost", "out of order",
        "not planned" (of what runs, and is to be stopped), "fuel", "reserve"; of draining what
        hinders it: "after the fire" (as soon as the pan may be left, with too little time then),
        "dying fire" (likewise, of one that is not stoked any more), "after the trip" (likewise, of
        sap), "after the run" (as soon as a membrane outdoors is rinsed, with too little time then),
        "rinsed in the frost" (it froze already as that was rinsed or washed), "nobody free" (the
        fire ties whoever is there until it is too late), "short stay" (nobody is there so long),
        "too few people" (it takes more than are free)
    stops_itself : of a run that a tank ends: whether the membrane has the cut-out for that
    concentrate_brix : what the membrane then makes
    permeate_m3_s : and lets through
    again_brix : strength to which the stock tank then passes through the membrane again
    again_s : UTC s from which it does
    again_when : what it waits for until then: "sap tank down", "stock tank full"
    rinse_m3 : permeate for the rinse when the membrane is stopped; None when nobody is there then
    rinse_has_m3 : permeate that there will be, where that is too little for it; else None
    stopped_s : of a rinse left undone: UTC s at which the membrane stopped, or is expected to
    pan_filling_m3 : what an empty pan takes first, within the gauge; None when it holds sap
    syrup_m3 : what the fire is expected to give
    draws : in so many draws
    first_draw_s : UTC s of the first; None without one
    syrup_later_m3 : what of it comes after that day's midnight; None where nothing does
    left_syrup_m3, left_brix : of the last fire for which there is sap, where nothing more will be
        drawn: the syrup that the sugar in the pan makes, and the strength at which it stands there
    reserve_m3 : feed to be left when the fire is let go, for the burn-down; of stock that passes
        again, what stays in its tank; of a run that ends with "sap tank down", what stays in that
    boils_off_m3 : what a fire let go now boils off at the most until it has died
    leave_s : UTC s until which somebody stays with a fire that is dying down; of draining with
        "nobody free", from which the pan may be left
    last_wood : of a fire that is not expected, but may be lit; one that is has an action for it
    only_if_stay_s : of a fire to be kept that nobody is there for by the house's own hours, and of
        its end: UTC s until which somebody must stay for it; None where those hours suffice
    else_stay_s : and until which with no more wood from then on, where nobody can
    after_run_s : running time since the last wash below which a wash is left out
    permeate_needed_m3, permeate_expected_m3 : for a wash
    point : name of the gathering point that sap is fetched from; else empty
    loads, load_m3 : how many trips, and what one brings
    gathered_m3 : what they are expected to bring in
    whole_m3 : and would with the last load too, where that takes longer than somebody is free
    sap_waits : of a fire: gathering points whose sap the plan leaves there until the fire is out
    fetched_first_money : what it would cost to fetch that first
    room_at_m3 : level of the sap tank from which there is room to set out, where that is what trips
        wait for; else None
    for_room : whether the loads wait for room in the sap tank in between
    duration_s : of one trip; of draining, by the house's chores
    overtime_s : how much longer than people's hours draining takes, or fetching sap than somebody
        is free for it; None where that fits
    alone : of trips by the only one who is free: what else waits for that one; None where nothing
        does
    people : that draining takes at once
    people_free : who are there then and not needed at the pan; with "nobody free" who are there
    probability : share of the weathers in which the frost comes (drained for), or it comes to
        gathering at need, or to lighting that fire (or to its end); None where that is not reckoned
    still_runs : of a membrane that is to run on: share of the weathers in which it runs then; None
        where it runs as the plan begins
    early_s : UTC s before which that frost comes in one of ten of those; the plan's beginning where
        it may have begun, as ``expected_s`` is where it has
    drains : what is drained: "pump", "line", "membrane", or what the house calls its own chores
    membrane_left : of draining: a membrane that runs on past it, and so is left out: "kept" (its
        frost cut-out keeps it from freezing when it stands) or "runs on"; else empty
    after_rinse : of draining: somebody stops and rinses the membrane in that time, which is first
    frosts : how many nights' frosts come before anybody is there again, that one counted
    pumped_again_s : UTC s at which a pump is expected to fill the line again, after it is drained
        and before the frost; None if none does
    overload : of the circuit, should a pump start beside it; None where that is no worry
    slack, delay, reason : None where they say nothing; of the first two, one at most says something
    caution : key into ``cautions``
    """

    kind: str
    time_s: int
    trigger: Trigger | None = None
    on_arrival: bool = False
    call_m3: float | None = None
    call_flow_m3_s: float | None = None
    by_call: bool = False
    own_hour: OwnHour | None = None
    waits: tuple[Wait, ...] = ()
    latest_s: int | None = None
    flow_m3_s: float | None = None
    night_flow_m3_s: float | None = None
    left_alone_s: tuple[int, ...] = ()
    runs_at_m3_s: float | None = None
    expected_s: int | None = None
    until_s: int | None = None
    ends: str = ""
    stops_itself: bool = False
    concentrate_brix: float | None = None
    permeate_m3_s: float | None = None
    again_brix: float | None = None
    again_s: int | None = None
    again_when: str = ""
    rinse_m3: float | None = None
    rinse_has_m3: float | None = None
    stopped_s: int | None = None
    pan_filling_m3: float | None = None
    syrup_m3: float | None = None
    draws: int | None = None
    first_draw_s: int | None = None
    syrup_later_m3: float | None = None
    left_syrup_m3: float | None = None
    left_brix: float | None = None
    reserve_m3: float | None = None
    boils_off_m3: float | None = None
    leave_s: int | None = None
    last_wood: LastWood | None = None
    only_if_stay_s: int | None = None
    else_stay_s: int | None = None
    after_run_s: float | None = None
    permeate_needed_m3: float | None = None
    permeate_expected_m3: float | None = None
    point: str = ""
    loads: int | None = None
    load_m3: float | None = None
    gathered_m3: float | None = None
    whole_m3: float | None = None
    sap_waits: tuple[str, ...] = ()
    fetched_first_money: float | None = None
    room_at_m3: float | None = None
    for_room: bool = False
    duration_s: float | None = None
    overtime_s: float | None = None
    alone: Alone | None = None
    people: int | None = None
    people_free: int | None = None
    probability: float | None = None
    still_runs: float | None = None
    early_s: int | None = None
    drains: tuple[str, ...] = ()
    membrane_left: str = ""
    after_rinse: bool = False
    frosts: int | None = None
    pumped_again_s: int | None = None
    overload: Overload | None = None
    slack: Slack | None = None
    delay: Delay | None = None
    reason: Reason | None = None
    caution: str = ""
