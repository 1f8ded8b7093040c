"""Which services there are, which are asked when nobody says, and fetching from them.

When nobody says, what is asked is free for every use: the US National Weather Service where it may
reach, else MET Norway, which wants to know whom to write to. Open-Meteo joins them, forecast and
ensemble, once it is lawful for who sells syrup: with a key, or a server of one's own. Without
either it is asked when it is named.
"""

from __future__ import annotations

import importlib.metadata
from collections.abc import Mapping, Sequence
from dataclasses import dataclass

from sugarwright.errors import InputError, ServiceError
from sugarwright.weather.hours import HOUR_S
from sugarwright.weather.services import met_norway, nws, open_meteo
from sugarwright.weather.services.polite import Manners
from sugarwright.weather.services.service import Asker, Brought, Place, Service
from sugarwright.weather.store import WeatherStore

NAMES = ("nws", "met-norway", "open-meteo", "open-meteo-ensemble")
VARIABLES = {
    "contact": "SUGARWRIGHT_CONTACT",
    "key": "SUGARWRIGHT_OPEN_METEO_KEY",
    "nws_url": "SUGARWRIGHT_NWS_URL",
    "met_norway_url": "SUGARWRIGHT_MET_NORWAY_URL",
    "open_meteo_url": "SUGARWRIGHT_OPEN_METEO_URL",
    "model": "SUGARWRIGHT_OPEN_METEO_MODEL",
}
_LOOKED_BACK_S = 14 * 86400
_US = ((24.0, 50.0, -125.5, -66.0), (51.0, 72.0, -180.0, -129.0), (18.0, 23.0, -161.0, -154.0))
"""South, north, west and east of the states; neighbours lie in there, and are told "404"."""


@dataclass(frozen=True)
class Settings:
    """How services are asked; all may be left out.

    Parameters
    ----------
    contact : mail address or web page of who asks, sent along
    key : of Open-Meteo
    nws_url, met_norway_url, open_meteo_url : other addresses of the services
    model : of Open-Meteo's ensemble
    """

    contact: str = ""
    key: str = ""
    nws_url: str = nws.URL
    met_norway_url: str = met_norway.URL
    open_meteo_url: str = ""
    model: str = open_meteo.MODEL

    @classmethod
    def from_environment(cls, variables: Mapping[str, str], **typed: str | None) -> Settings:
        """Return what was typed, else what the environment says, else the usual."""
        found = {name: variables.get(key, "").strip() for name, key in VARIABLES.items()}
        found |= {name: text.strip() for name, text in typed.items() if text is not None}
        if any(ord(each) < 32 or ord(each) > 126 for each in found["contact"]):
            fix = "Write a mail address or a web page, in plain letters"
            raise InputError("--contact", found["contact"], "cannot be sent along", fix=fix)
        return cls(**{name: text for name, text in found.items() if text})

    def manners(self) -> Manners:
        """Return how to ask."""
        version = importlib.metadata.version("sugarwright")
        who = f"contact: {self.contact}" if self.contact else "no contact given"
        return Manners(f"sugarwright/{version} ({who})")


@dataclass(frozen=True)
class FetchedForecast:
    """A forecast that came.

    Parameters
    ----------
    service : name of the service
    source, attribution : whose it is; what its licence asks to be shown
    issued_s, fetched_s : UTC s
    first_s, ends_s : UTC s of its first hour, and of its end
    members : of the ensemble; 0 without one
    is_new : whether it was not kept already
    notes : what was done to it, in sentences
    """

    service: str
    source: str
    attribution: str
    issued_s: int
    fetched_s: int
    first_s: int
    ends_s: int
    members: int
    is_new: bool
    notes: tuple[str, ...]


@dataclass(frozen=True)
class Fetched:
    """What fetching came to.

    Parameters
    ----------
    forecasts : those that came
    measured_h : measured hours that are new
    notes : what the services have to say, in sentences
    problems : of services that brought nothing, in sentences
    """

    forecasts: tuple[FetchedForecast, ...]
    measured_h: int
    notes: tuple[str, ...]
    problems: tuple[str, ...]


def make_service(name: str, settings: Settings) -> Service:
    """Return a service by its name. Raises InputError for an unknown one."""
    if name == "nws":
        return nws.NationalWeatherService(settings.nws_url)
    if name == "met-norway":
        if not settings.contact:
            fix = f"Give your mail address (--contact, or set {VARIABLES['contact']})"
            raise ServiceError("MET Norway", None, "wants to know who asks", fix=fix)
        return met_norway.MetNorway(settings.met_norway_url)
    if name == "open-meteo":
        return open_meteo.OpenMeteo(settings.open_meteo_url, settings.key)
    if name == "open-meteo-ensemble":
        where = settings.open_meteo_url, settings.key
        return open_meteo.OpenMeteoEnsemble(*where, settings.model)
    raise InputError("--service", name, "is no service known here", ", ".join(NAMES))


def usual_services(place: Place, settings: Settings) -> tuple[tuple[str, ...], ...]:
    """Return names of services: of each group the first that answers is enough."""
    latitude, longitude = place.latitude_deg, place.longitude_deg
    inside = any(s <= latitude <= n and w <= longitude <= e for s, n, w, e in _US)
    first = ("nws", "met-norway") if inside else ("met-norway",)
    if settings.key or settings.open_meteo_url:
        return first, ("open-meteo",), ("open-meteo-ensemble",)
    return (first,)


def fetch_and_keep(
    groups: Sequence[Sequence[str]],
    settings: Settings,
    place: Place,
    store: WeatherStore,
    ask: Asker,
    now_s: int,
) -> Fetched:
    """Ask services, and keep what comes.

    Parameters
    ----------
    groups : names of services; of each group the first that answers is enough
    settings : how they are asked
    place : of the house
    store : keeps
    ask : asks
    now_s : UTC s

    Returns
    -------
    Fetched

    Raises
    ------
    InputError : for a name that is none, or when something cannot be written
    """
    forecasts: list[FetchedForecast] = []
    notes: list[str] = []
    problems: list[str] = []
    measured_h = 0
    for group in groups:
        for name in group:
            if name not in NAMES:
                make_service(name, settings)
            try:
                brought = make_service(name, settings).fetch(place, ask, now_s)
            except (ServiceError, InputError) as problem:
                problems.append(str(problem))
                continue
            forecasts += keep(brought, name, store)
            measured_h += store.keep_observed(brought.observed) if brought.observed else 0
            notes += brought.notes
            break
    return Fetched(tuple(forecasts), measured_h, tuple(dict.fromkeys(notes)), tuple(problems))


def keep(brought: Brought, name: str, store: WeatherStore) -> list[FetchedForecast]:
    """Keep the forecasts of what was brought; return what there is to say of each."""
    return [
        FetchedForecast(
            name,
            each.source,
            each.attribution,
            each.issued_s,
            each.fetched_s,
            each.hours.first_s,
            each.end_s,
            0 if each.member_temperature_c is None else len(each.member_temperature_c),
            store.keep(each),
            each.hours.notes,
        )
        for each in brought.forecasts
    ]


def reaches(store: WeatherStore, now_s: int) -> bool:
    """Tell whether something kept still speaks of the coming day."""
    kept = store.between(now_s - _LOOKED_BACK_S, now_s + 1)
    return any(each.end_s >= now_s + 12 * HOUR_S for each in kept)
