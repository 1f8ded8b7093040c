"""Volume times Brix: water and sugar balanced together over a network of streams.

Each stream has a volume and a strength; each node keeps mass and sugar. The balances are not
linear in what is read, so they are closed by successive linearisation, starting from the readings
(Knepper & Gorman 1980; Crowe 1986; from memory). Volumes in m³ at 20 °C.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np

from sugarwright.errors import InputError
from sugarwright.ledger.reconcile import Balances, Floats, Reconciled, reconcile
from sugarwright.physics.solution import density_kg_m3

AT_C = 20.0
ROUNDS = 60
CLOSED = 1e-10


@dataclass(frozen=True)
class Stream:
    """A stream of a network.

    Parameters
    ----------
    volume_m3, brix : as read, or a guess where nothing was read
    volume_sd_m3, sd_brix : standard uncertainty; None: not read; 0: known
    """

    volume_m3: float
    volume_sd_m3: float | None
    brix: float
    sd_brix: float | None


@dataclass(frozen=True)
class Closed:
    """A network whose water and sugar balance.

    Parameters
    ----------
    volume_m3, brix : (streams,)
    volume_sd_m3, sd_brix : (streams,)
    linear : the last linear step: its mismatch is what the tests are made of; ``of_reading`` has
        one column for each that was read, volumes before strengths
    read : (2 streams,), which of volumes and strengths were read
    """

    volume_m3: Floats
    brix: Floats
    volume_sd_m3: Floats
    sd_brix: Floats
    linear: Reconciled
    read: Floats


def close(incidence: Floats, streams: Sequence[Stream]) -> Closed:
    """Close the balances of mass and sugar at every node.

    Parameters
    ----------
    incidence : (nodes, streams): 1 where a stream enters, -1 where it leaves
    streams : with what was read of each

    Raises
    ------
    InputError : the readings are so far from any balance that no closing was found
    """
    y = np.array([each.volume_m3 for each in streams] + [each.brix for each in streams])
    given = [each.volume_sd_m3 for each in streams] + [each.sd_brix for each in streams]
    read = np.array([sd is not None and sd > 0.0 for sd in given])
    free = np.array([sd is None for sd in given])
    covariance = np.diag([sd**2 for sd in given if sd is not None and sd > 0.0])
    x, scale = y.copy(), max(float(np.abs(y[: len(streams)]).max()), 1e-9) * 1e3
    for _ in range(ROUNDS):
        missed, slopes = _balances(incidence, x)
        balances = Balances(
            slopes[:, read] / scale,
            slopes[:, free] / scale,
            (slopes[:, read | free] @ x[read | free] - missed) / scale,
        )
        linear = reconcile(balances, y[read], covariance)
        step = np.zeros(len(x))
        step[read] = linear.values - x[read]
        known = np.linalg.pinv(balances.unmeasured, rcond=1e-9)
        left = balances.constant - balances.measured @ linear.values
        step[free] = known @ (left - balances.unmeasured @ x[free])
        x = x + step
        if not np.all(np.isfinite(x)) or np.any(x[len(streams) :] < -5.0):
            break
        if np.abs(step / np.maximum(np.abs(x), 1e-6)).max() < CLOSED:
            return _closed(x, read, free, linear, len(streams))
    raise InputError("readings", None, "are so far apart that no balance was found")


def _closed(x: Floats, read: Floats, free: Floats, linear: Reconciled, count: int) -> Closed:
    sd = np.zeros(len(x))
    sd[read] = np.sqrt(np.maximum(np.diagonal(linear.covariance), 0.0))
    of_free = np.sqrt(np.maximum(np.diagonal(linear.unmeasured_covariance), 0.0))
    sd[free] = np.where(linear.observable, of_free, np.inf)
    return Closed(x[:count], x[count:], sd[:count], sd[count:], linear, read)


def _balances(incidence: Floats, x: Floats) -> tuple[Floats, Floats]:
    """Return what each node lacks, mass before sugar, kg, and its slopes."""
    count = incidence.shape[1]
    volume, brix = x[:count], np.clip(x[count:], 0.0, 84.0)
    step = 1e-4
    density = np.array([density_kg_m3(float(each), AT_C) for each in brix])
    above = np.array([density_kg_m3(float(each) + step, AT_C) for each in brix])
    slope = (above - density) / step
    share = brix / 100.0
    mass, sugar = volume * density, volume * density * share
    by_volume = np.vstack([incidence * density, incidence * density * share])
    mass_by_brix, sugar_by_brix = volume * slope, volume * (slope * share + density / 100.0)
    by_brix = np.vstack([incidence * mass_by_brix, incidence * sugar_by_brix])
    missed = np.concatenate([incidence @ mass, incidence @ sugar])
    return missed, np.hstack([by_volume, by_brix])
