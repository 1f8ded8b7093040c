"""How unsure the twin is of what it cannot see: one value that filter, tests and study share."""

from __future__ import annotations

from dataclasses import dataclass, fields

from sugarwright.weather.ensemble import BRIX_SD, RUN_SD

# What tells one member of the ensemble from the next, beside its tanks: columns of ``traits``.
(
    SCALE_LOG,  # ln of sap per tap against an ordinary bush
    RUN_LOG,  # ln of what this run of sap is multiplied by
    SAP_BRIX,  # Brix of the sap off what the trees are expected to give
    PERMEABILITY_LOG,  # ln of permeate against what the described membrane would give
    FOULING_LOG,  # ln of how fast it fouls against the description
    BOIL_LOG,  # ln of the boil rate against the description
    VALVE_LOG,  # ln of the concentrate flow against what was told
    GROWTH_LOG,  # ln of how fast sap ages against what is usual
) = range(8)
TRAITS = GROWTH_LOG + 1
READ_TRAITS = GROWTH_LOG  # those before it are taught by readings; of cells nobody reads anything

DAY_S = 86400.0


@dataclass(frozen=True)
class Spreads:
    """Standard deviations about the description, and for how long they hold.

    All are our judgement, where nothing else is said; the scatter of the trees is the planner's.

    Parameters
    ----------
    run_log : of a run of sap, drawn anew at each frost (``weather.ensemble.RUN_SD``)
    run_drift_log : by which a run wanders off itself in an hour; grows with the root of time
    sap_brix, sap_brix_memory_s : days about the expected Brix, and how long they remember
        (``weather.ensemble``)
    permeability_log, permeability_memory_s : of the membrane beside its described flow
    fouling_log, fouling_memory_s : of how fast it fouls
    boil_log, boil_memory_s : of the boil rate: wood and stoking differ from fire to fire
    valve_log : of the concentrate flow about what was told
    valve_untold_log : and about the house's habit when nothing was
    growth_log : of how fast cells grow in sap: the ranges of the two constants of
        ``physics.keeping`` (root slope 0.025 to 0.036, no growth at -8 to -4 °C), each taken for
        two deviations either way, in a tank of some degrees
    late_s : mean time by which what was done is logged late (exponential)
    remembered_s : and, of what is typed in later, how far its clock time is off
    read_s : time by which a reading's clock is off
    rinse_untold : how likely a membrane that was stopped was rinsed, where nobody said so
    moved_fraction : of a volume moved or lost that was told
    offset_memory_s : for how long a sensor's offset stays (dirt, ice, a loose bracket)
    forgotten_s : time without a word from a fire after which it may be out
    """

    run_log: float = RUN_SD
    run_drift_log: float = 0.06
    sap_brix: float = BRIX_SD
    sap_brix_memory_s: float = 2.8 * DAY_S
    permeability_log: float = 0.08
    permeability_memory_s: float = 20.0 * DAY_S
    fouling_log: float = 0.4
    fouling_memory_s: float = 40.0 * DAY_S
    boil_log: float = 0.10
    boil_memory_s: float = 4.0 * DAY_S
    valve_log: float = 0.04
    valve_untold_log: float = 0.2
    growth_log: float = 0.3
    late_s: float = 300.0
    remembered_s: float = 600.0
    read_s: float = 180.0
    rinse_untold: float = 0.85
    moved_fraction: float = 0.05
    offset_memory_s: float = 20.0 * DAY_S
    forgotten_s: float = 5.0 * 3600.0

    @classmethod
    def none(cls) -> Spreads:
        """Nothing is unsure: every member is the described house."""
        spreads = {f.name: 0.0 for f in fields(cls) if not f.name.endswith("memory_s")}
        return cls(**{**spreads, "forgotten_s": 1e9})
