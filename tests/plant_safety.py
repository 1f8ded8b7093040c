"""What no run of a plant may do, asserted step by step in its trace."""

from __future__ import annotations

import numpy as np

from sugarwright.plant import layout as at
from sugarwright.plant.assemble import Plant
from sugarwright.plant.simulate import Drive, Trace


def assert_safe(
    plant: Plant, drive: Drive, run: Trace, scenario: int = 0, *, burns: bool = False
) -> None:
    """Rules of the house that no plan and no price can break, step by step.

    Parameters
    ----------
    plant, drive : the house, and what drove it
    run : of a plan, in one weather of the drive
    scenario : in which
    burns : whether a fire burnt when it began
    """
    p, y = plant.p, run.totals
    alone = drive.calendar[:, at.PEOPLE] == 0.0
    runs, lit = run.column(at.T_MEMBRANE_ON) > 0.0, run.column(at.T_FIRE_ON) > 0.0
    assert y[at.LIT_ALONE_S] == 0.0
    assert not (lit & alone).any()
    assert not (run.column(at.T_HEAT)[alone] > 0.1).any()
    if p[at.UNATTENDED] == 0.0:
        assert not (runs & alone).any()
    if p[at.NOT_WITH_FIRE] > 0.0:
        assert not (runs & lit).any()
    assert not (lit & (run.column(at.T_WOOD_M3) <= 0.0)).any()
    assert run.column(at.T_WOOD_M3).min() >= 0.0
    if p[at.MEMBRANE_OUTDOORS] > 0.0:
        hours = drive.calendar[:, at.HOUR].astype(np.int64)
        assert not (runs & (drive.air_c[scenario, hours] < 0.0)).any()
    cleaning = np.diff(run.column(at.T_CLEANING), prepend=0.0) > 0.0
    assert not (cleaning & alone).any()
    if y[at.LIGHT_UPS] == 0.0 and not burns:
        assert y[at.STEAM_KG] == y[at.SYRUP_SUGAR_KG] == y[at.WOOD_BURNT_M3] == 0.0
