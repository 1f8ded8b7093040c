"""``/``: what to do today, how the tanks stand, and what would change it."""

from __future__ import annotations

import dataclasses
from collections.abc import Iterator, Sequence
from dataclasses import dataclass, replace

from fastapi import APIRouter, Request
from starlette.responses import HTMLResponse, JSONResponse, RedirectResponse, Response

from sugarwright.answering.boil import LOOK_BACK_S, said_out
from sugarwright.answering.surprises import surprises_of
from sugarwright.answering.today import Doing, doings, next_doing, planned_at
from sugarwright.answering.weather_told import has_weather
from sugarwright.errors import InputError
from sugarwright.planning.action import Action
from sugarwright.planning.cautions import CAUTIONS
from sugarwright.planning.dying import STAY
from sugarwright.planning.report import Day, PlanReport
from sugarwright.planning.stops import STOP, next_times
from sugarwright.saying import plan_parts
from sugarwright.saying.fire import Alarm, fire_alarm
from sugarwright.saying.plan_actions import (
    does_texts,
    headline_text,
    overload_texts,
    slack_texts,
)
from sugarwright.saying.plan_broken import broken_texts
from sugarwright.saying.plan_fire_ends import let_go_texts, pan_left_text
from sugarwright.saying.plan_folding import folded
from sugarwright.saying.plan_found import found_texts
from sugarwright.saying.plan_gauges import gauge_text
from sugarwright.saying.plan_ifs import idle_text, if_texts, limits_text
from sugarwright.saying.plan_membrane import end_by_hand_text, stops_later_text
from sugarwright.saying.plan_outside import drain_beside_text
from sugarwright.saying.plan_reasons import why_text
from sugarwright.saying.plan_watches import watch_texts
from sugarwright.saying.plan_words import PlanWords
from sugarwright.saying.plan_work import chores_text, overwork_text
from sugarwright.saying.standing import dying_text, unrinsed_text
from sugarwright.saying.words import sentence
from sugarwright.twin.doubt import OPEN, Doubt
from sugarwright.twin.levels import sap_read_s
from sugarwright.twin.report import NowReport
from sugarwright.web.charts import Chart, charts_of, rows_of
from sugarwright.web.guard.doors import may_log
from sugarwright.web.pages.standing_view import Vessel, vessels_of
from sugarwright.web.rendering import page, shed_of
from sugarwright.web.shed import PlanNow, Shed, WorkedOut

router = APIRouter()


@dataclass(frozen=True)
class Line:
    """An action as the page shows it.

    Parameters
    ----------
    doing : the action, and how it stands
    headline, gauge : what is read at arm's length
    stop : how a run must be stopped that a tank ends and no cut-out; may be empty
    says : what to do and what comes of it
    slack, reason : how free its hour is; what would be lost without it
    caution : in words; may be empty
    is_first : no action above has the same caution
    end : of a fire on a day of many actions, its last wood, which stands with it
    """

    doing: Doing
    headline: str
    gauge: str
    stop: str
    says: tuple[str, ...]
    slack: str
    reason: str
    caution: str
    is_first: bool
    end: Line | None = None


@dataclass(frozen=True)
class View:
    """A plan as the page shows it."""

    report: PlanReport
    words: PlanWords
    main: Day
    lines: tuple[Line, ...]
    next: Line | None
    idle: str
    broken: tuple[str, ...]
    watches: tuple[str, ...]
    ifs: tuple[str, ...]
    limits: str
    habit: str
    expected: str
    pan_left: str
    chores: str
    overwork: str
    standing: str
    forecast: str
    learnt: str
    found: tuple[str, ...]
    tonight_heading: str
    tonight: tuple[str, ...]
    later: tuple[tuple[str, str], ...]
    times: tuple[tuple[int, str], ...]
    charts: tuple[Chart, ...]
    rows: tuple[tuple[str, tuple[str, ...]], ...]


@router.get("/", include_in_schema=False)
def today(request: Request) -> HTMLResponse:
    """Show today."""
    shed = shed_of(request)
    standing, plan = shed.standing(), shed.plan()
    view = None if plan.report is None else _view(shed, plan.report)
    return page(
        request,
        "today.html",
        standing=standing,
        plan=plan,
        view=view,
        unrinsed=_unrinsed(standing.value, view),
        dying=_dying(standing.value, view),
        burn_down_caution=CAUTIONS["burn-down"],
        vessels=_vessels(shed, standing, plan),
        missing="" if plan.report is not None else _missing(shed, standing),
        alarm=None if standing.value is None else _alarm(shed, standing.value),
        fire_caution=CAUTIONS["fire"],
    )


@router.post("/plan", include_in_schema=False)
@may_log
def plan_again(request: Request) -> RedirectResponse:
    """Let a new plan be made."""
    shed_of(request).plan_again()
    return RedirectResponse("/", 303)


@router.get("/plan.json")
def plan_document(request: Request) -> JSONResponse:
    """Return the last plan, as ``sugarwright plan --json`` prints it."""
    return JSONResponse(dataclasses.asdict(_last(shed_of(request))))


@router.get("/now.json")
def standing_document(request: Request) -> JSONResponse:
    """Return where everything stands, as ``sugarwright now --json`` prints it."""
    found = shed_of(request).standing().value
    if found is None:
        raise InputError("now", None, "is being worked out", fix="Ask again in a moment")
    return JSONResponse(dataclasses.asdict(found))


@router.get("/plan.ics", include_in_schema=False)
def calendar(request: Request) -> Response:
    """Return the plan's actions as a calendar file, so that the phone's own alarm rings."""
    from sugarwright.saying.plan_calendar import calendar_file

    headers = {"content-disposition": 'attachment; filename="today.ics"'}
    events = calendar_file(_last(shed_of(request)))
    if events is None:
        raise InputError("plan", None, "has nothing to ring for: nothing is to be done at an hour")
    return Response(events, 200, headers, "text/calendar")


def _last(shed: Shed) -> PlanReport:
    report = shed.plan().report
    if report is None:
        raise InputError("plan", None, "there is none yet", fix="Read the tanks and log them")
    return report


def _vessels(shed: Shed, standing: WorkedOut[NowReport], plan: PlanNow) -> tuple[Vessel, ...]:
    if standing.value is None:
        return ()
    report, now_s = plan.report, shed.now_s()
    with shed.record() as book:
        surprises = surprises_of(standing.value, book)
    planned = {
        tank.place: None if report is None else planned_at(report, tank.place, now_s)
        for tank in standing.value.tanks
    }
    return vessels_of(standing.value, planned, surprises)


def _alarm(shed: Shed, report: NowReport) -> Alarm | None:
    """Return what stands above any action: a fire that somebody must look at."""
    alarm, now_s = fire_alarm(report), shed.now_s()
    if alarm is None:
        return None
    with shed.record() as book:
        entries = book.entries(begin_s=now_s - LOOK_BACK_S, end_s=now_s + 1.0)
    return None if said_out(entries, report) else alarm


def _unrinsed(report: NowReport | None, view: View | None) -> str:
    """Say that the membrane stands unrinsed by the log, where the plan's own lines do not."""
    if report is None or report.membrane is None or report.membrane.unrinsed_s is None:
        return ""
    lines = () if view is None else view.lines
    if any(each.doing.action.kind == "rinse the membrane" for each in lines):
        return ""
    return unrinsed_text(report.membrane.unrinsed_s, report)


def _dying(report: NowReport | None, view: View | None) -> str:
    """Say that a fire that was let go is still too hot to be left, where the plan does not."""
    if report is None or report.pan.died_s is None:
        return ""
    lines = () if view is None else view.lines
    if any(each.doing.action.kind == STAY and each.doing.state == "due" for each in lines):
        return ""
    return dying_text(report.pan.died_s, report)


def _missing(shed: Shed, standing: WorkedOut[NowReport]) -> str:
    """Say what keeps a first plan from being made: weather, anything logged, the sap tank read."""
    with shed.record() as book:
        if not has_weather(shed.folder, int(shed.now_s()), book):
            return "weather"
    report = standing.value
    if report is None or standing.behind:
        return ""  # what was just logged is being worked out
    if not report.entries:
        return "nothing"
    if sap_read_s(report) is not None:
        return ""
    return "sap again" if any(_is_of_sap(each) for each in report.doubts) else "sap"


def _is_of_sap(doubt: Doubt) -> bool:
    return doubt.name == ("sap", "volume") and doubt.state == OPEN


def _view(shed: Shed, report: PlanReport) -> View:
    words, main, now_s = PlanWords(report), report.days[report.main_day], shed.now_s()
    with shed.record() as book:
        entries = book.entries(begin_s=report.begin_s - 6 * 3600, end_s=now_s + 1.0)
    found = doings(report, entries, now_s)
    lines = tuple(_lines(words, found))
    due = next_doing(found)
    first = report.days[0]
    return View(
        report=report,
        words=words,
        main=main,
        lines=tuple(
            each if end is None else replace(each, end=end)
            for each, end in folded(lines, lambda line: line.doing.action.kind)
        ),
        next=next((each for each in lines if each.doing is due), None) if due else None,
        idle=idle_text(words, first.idle) if first.idle is not None else "",
        broken=tuple(broken_texts(words)),
        watches=tuple(watch_texts(words, main)),
        ifs=tuple(if_texts(words, main)),
        limits=limits_text(words),
        habit=plan_parts.habit_text(words),
        expected=plan_parts.expected_text(words, main),
        pan_left=pan_left_text(words),
        chores=chores_text(words, main),
        overwork=overwork_text(words, main),
        standing=plan_parts.standing_text(words),
        forecast=plan_parts.forecast_text(words),
        learnt=plan_parts.learnt_text(words),
        found=tuple(found_texts(report)),
        tonight_heading=plan_parts.tonight_text(words),
        tonight=tuple(_tonight(words)),
        later=tuple(plan_parts.later_texts(words, main)),
        times=next_times(report.days, now_s),
        charts=charts_of(report, words),
        rows=rows_of(report, words),
    )


def _tonight(words: PlanWords) -> Iterator[str]:
    """Yield what a plan for tomorrow still asks for today, its caution with it."""
    for action in words.report.tonight:
        texts = "; ".join(does_texts(words, action))
        caution = CAUTIONS.get(action.caution, "")
        yield f"{words.clock(action.time_s)} {texts}{'. ' + caution if caution else ''}"


def _lines(words: PlanWords, found: Sequence[Doing]) -> Iterator[Line]:
    """Yield the actions; a caution stands where it is first needed."""
    told = set[str]()
    for doing in found:
        key = doing.action.caution
        yield _line(words, doing, key not in told)
        told.add(key)


def _line(words: PlanWords, doing: Doing, is_first: bool) -> Line:
    action = doing.action
    beside = _BESIDE.get(action.kind, gauge_text)
    return Line(
        doing=doing,
        headline=headline_text(words, action),
        gauge=_with_latest(words, action, beside(words, action)),
        stop=end_by_hand_text(words, action),
        says=tuple(does_texts(words, action)),
        slack=" ".join(slack_texts(words, action)),
        reason=why_text(words, action),
        caution=" ".join(
            [CAUTIONS.get(action.caution, ""), *map(_as_sentence, overload_texts(words, action))]
        ).strip(),
        is_first=is_first,
    )


def _with_latest(words: PlanWords, action: Action, gauge: str) -> str:
    """Add to a gauge the hour after which nothing is begun; a last wood says its own."""
    waits = gauge and action.latest_s is not None and action.kind not in _BESIDE
    return f"{gauge}, not after {words.clock(action.latest_s or 0)}" if waits else gauge


def _let_go_text(words: PlanWords, action: Action) -> str:
    """Return the gauge of a last wood, and until when to stay: a hot pan is not left."""
    return "; ".join(let_go_texts(words, action))


_BESIDE = {
    "drain before the frost": drain_beside_text,
    "let the fire go": _let_go_text,
    STOP: stops_later_text,
}
"""Kind of action -> what stands unfolded beside it, where that is no gauge."""


def _as_sentence(text: str) -> str:
    return f"{sentence(text)}."
