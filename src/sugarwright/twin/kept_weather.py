"""The airs that kept weather allows: measured hours, the best forecast, else usual springs."""

from __future__ import annotations

from typing import TYPE_CHECKING

import numpy as np

from sugarwright.errors import InputError, WeatherFileError
from sugarwright.plant.house import House
from sugarwright.weather.hours import HOUR_S, HourlyWeather
from sugarwright.weather.store import WeatherStore

if TYPE_CHECKING:
    from sugarwright.twin.air import Air
    from sugarwright.weather.standing import Footing

_REACHES_H = (75, 48, 24, 3)  # the longest that the forecast carries is taken


class KeptWeather:
    """Weather that the house keeps."""

    def __init__(self, house: House, store: WeatherStore) -> None:
        self._house, self._store = house, store

    @property
    def mark(self) -> str:
        """Tells one weather from another: the newest forecast, and how much was measured."""
        newest = self._store.newest(np.inf)
        observed = self._store.observed()
        told = "none" if newest is None else f"{newest.source} {newest.issued_s}"
        if newest is not None:
            told += f" {newest.fetched_s}"
        hours = sum(len(piece) for piece in observed)  # a hole may be filled: the end says little
        return f"{told} {observed[-1].end_s if observed else 0} {hours}"

    def air(self, members: int, seed: int, since_s: float, now_s: float, until_s: float) -> Air:
        """Return the members' airs, known up to ``now_s`` at most."""
        from sugarwright.weather.standing import stand  # not for the mark alone

        for hours in _REACHES_H:
            end_s = int(min(until_s, now_s + hours * HOUR_S))
            try:
                footing = stand(self._store, int(now_s), end_s, int(since_s))
            except WeatherFileError:
                continue
            return self._from_footing(footing, members, seed, now_s)
        return self._without_forecast(members, seed, now_s)

    def _from_footing(self, footing: Footing, members: int, seed: int, now_s: float) -> Air:
        from sugarwright.twin.air import air_from
        from sugarwright.weather.outlook import LEARNT_FROM_S, errors_behind, own_sd_k
        from sugarwright.weather.verified import measured

        house, store = self._house, self._store
        kept = store.between(now_s - LEARNT_FROM_S, now_s + 1)
        came, offset_h = measured(store.observed()), house.site.longitude_deg / 15.0
        errors = errors_behind(footing, kept, came, offset_h)
        known_to_s = max(self._measured_to_s(now_s), footing.provenance.issued_s)
        return air_from(
            *(house, footing.weather, members, seed, int(min(known_to_s, now_s))),
            *(errors, own_sd_k(footing, errors), footing.provenance.cautions, self.mark),
        )

    def _measured_to_s(self, now_s: float) -> float:
        ends = [piece.end_s for piece in self._store.observed() if piece.first_s <= now_s]
        return float(max(ends, default=0))

    def _without_forecast(self, members: int, seed: int, now_s: float) -> Air:
        """Lay the hours that were measured into springs as this place has them."""
        observed = [piece for piece in self._store.observed() if piece.first_s <= now_s]
        return laid_in(self._house, observed, members, seed, now_s, self.mark)


class FileWeather:
    """One file of hours: measured, or a forecast where it says when it was issued."""

    def __init__(self, house: House, weather: HourlyWeather) -> None:
        self._house, self._weather = house, weather

    @property
    def mark(self) -> str:
        """Tells one weather from another."""
        w = self._weather
        return f"file {w.first_s} {w.end_s} {w.issued_s} {float(w.temperature_c.sum()):.3f}"

    def air(self, members: int, seed: int, since_s: float, now_s: float, until_s: float) -> Air:
        """Return the members' airs; where the file does not reach, springs as they are usual."""
        from sugarwright.twin.air import air_from

        weather = self._weather
        if weather.first_s > since_s + 12 * HOUR_S and weather.first_s > now_s - 86400:
            return laid_in(self._house, [weather], members, seed, now_s, self.mark)
        if weather.end_s < now_s:
            return laid_in(self._house, [weather], members, seed, now_s, self.mark)
        known_s = now_s if weather.issued_s is None else min(now_s, weather.issued_s)
        return air_from(self._house, weather, members, seed, int(known_s), mark=self.mark)


def laid_in(
    house: House, known: list[HourlyWeather], members: int, seed: int, now_s: float, mark: str
) -> Air:
    """Return usual springs of the house's place, with the hours that are known laid into them.

    Where not even springs can be made for the place, the nearest known day repeats.
    """
    from sugarwright.twin.air import Air, off_the_station, usual_air

    try:
        usual = usual_air(house, members, seed)
    except InputError:
        usual = Air(int(now_s - now_s % HOUR_S), np.full((members, 24), 4.0))
    air_c, known_to_s = usual.air_c.copy(), None
    told_c = np.full(air_c.shape[1], np.nan)
    for piece in known:
        first = (piece.first_s - usual.first_s) // HOUR_S
        begin, end = max(0, first), min(air_c.shape[1], first + len(piece))
        if begin < end:
            off = off_the_station(members, end - begin, seed)
            told_c[begin:end] = piece.temperature_c[begin - first : end - first]
            air_c[:, begin:end] = told_c[begin:end] + off
            known_to_s = int(min(now_s, piece.end_s))
    source = known[-1].source if known_to_s is not None else ""
    said = "No forecast is kept: what comes is drawn from springs as they are usual here."
    nothing = "No weather is kept: air is drawn from springs as they are usual here."
    caution = nothing if known_to_s is None else said
    return Air(usual.first_s, air_c, source, known_to_s, (caution,), mark, told_c)
