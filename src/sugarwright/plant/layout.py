"""Where each number stands in the flat arrays that the simulator's compiled kernel works on.

A compiled kernel wants plain arrays; people want names. This file is the only place where the two
meet: parameters ``p`` of the house, the state ``x`` that changes, the totals ``y`` that only grow,
the ``calendar`` of steps, and the rows of a working ``plan``. SI units throughout.
"""

from __future__ import annotations

MAX_COMPARTMENTS = 6  # of a pan

# Every tank holds water (kg), sugar (kg), cells relative to fresh sap (-), temperature (°C).
WATER, SUGAR, CELLS, TEMPERATURE = range(4)
TANK_WIDTH = 4

# --- state x ------------------------------------------------------------------------------------
SAP, STOCK, PERMEATE = 0, TANK_WIDTH, 2 * TANK_WIDTH
PAN_SUGAR = 3 * TANK_WIDTH  # kg in each compartment; the mass of each is constant
(
    PAN_FILLED,  # share of the pan that holds liquid: 0 empty, 1 ready to be lit
    PAN_TEMPERATURE,
    PAN_WORTH,  # worth of the sugar in the pan beside that of fresh sap, 0 to 1
    HEAT_W,
    FIRE_ON,
    WOOD_M3,
    MEMBRANE_ON,  # 0; 1 from the sap tank to stock; 2 from the stock tank back to it, once more
    CONDITION,  # what fouling that a wash can undo has left of the membrane, 0 to 1
    RUN_SINCE_WASH_S,
    CLEANING_LEFT_S,
    WASHED_DAY,
    LIT_DAY,
    LIT_TODAY,
    RINSED_DAY,  # last day on which the day's chores at the tanks were done
    WET,  # 1 while lines, pump or membrane hold water that a frost would freeze
    NEEDS_RINSE,  # 1 since the membrane stopped with nobody there, or no permeate, to rinse it
    MEMBRANE_CALLED_DAY,  # last day on which a full tank called for the membrane, or for a fire,
    FIRE_CALLED_DAY,  # before its hour
    AGAIN_TO_BRIX,  # strength to which concentrate is to be passed once more today; 0: not at all
) = range(PAN_SUGAR + MAX_COMPARTMENTS, PAN_SUGAR + MAX_COMPARTMENTS + 19)
NEAR = AGAIN_TO_BRIX + 1  # the membrane's last point read off its map, see ``membrane_kernel``
NEAR_SIZE = 12
GATHERED = NEAR + NEAR_SIZE  # then, for each gathering point, a tank and a flag: being emptied?
POINT_WIDTH = TANK_WIDTH + 1
EMPTYING = TANK_WIDTH


def state_size(points: int) -> int:
    """Length of the state of a house with so many gathering points."""
    return GATHERED + points * POINT_WIDTH


# --- totals y -----------------------------------------------------------------------------------
(
    SAP_WATER_KG,  # from the trees
    SAP_SUGAR_KG,
    SYRUP_WATER_KG,
    SYRUP_SUGAR_KG,
    SYRUP_WORTH_KG,  # syrup weighted by the worth of the sap that it came from
    STEAM_KG,
    SPILLED_WATER_KG,
    SPILLED_SUGAR_KG,
    DUMPED_WATER_KG,
    DUMPED_SUGAR_KG,
    LET_GO_WATER_KG,  # permeate for which there was no room
    LET_GO_SUGAR_KG,
    CLEANING_WATER_KG,  # permeate used to rinse and wash
    CLEANING_SUGAR_KG,
    BUCKET_WATER_KG,  # water thrown into a pan that ran short
    PERMEATE_KG,
    HANDS_S,
    HANDS_MONEY,
    FIRE_S,  # time at a lit pan
    LIGHT_UPS,
    MEMBRANE_STARTS,
    MEMBRANE_S,
    OVERDUE_S,  # time that the membrane ran beyond the house's interval between washes
    RINSES,
    WASHES,
    FROSTS,  # times that lines and machines had to be drained before a frost
    DRAWS,
    WOOD_BURNT_M3,
    ELECTRICITY_J,
    SHORT_S,  # time in which a hot pan found no feed
    LIT_ALONE_S,  # time with fire and nobody there: must stay 0
    SAP_FULL_AT_S,  # since the drive's first step; -1 while it has not happened
    STOCK_FULL_AT_S,
    SPOILED_AT_S,
    FIRST_DRAW_AT_S,
    SAP_PEAK_M3,
    RISK_M3_S,  # volume above the mark at which a tank is counted as crowded, times time
) = range(37)
TOTALS_SIZE = RISK_M3_S + 1

# --- parameters p -------------------------------------------------------------------------------
(
    STEP_S,
    WATER_M3_KG,  # volume of a kg of water, and of a kg of sugar, in cold sap
    SUGAR_M3_KG,
    POINTS,
    SAP_CAPACITY_M3,
    SAP_DEAD_M3,
    SAP_INDOORS,
    STOCK_CAPACITY_M3,
    STOCK_DEAD_M3,
    STOCK_INDOORS,
    PERMEATE_CAPACITY_M3,
    PERMEATE_DEAD_M3,
    TANK_SHARE,  # of the way to its surroundings that a tank's temperature goes in one step
    REST_SHARE,  # and an idle pan's temperature and gradient
    INDOORS_LEAST_C,
    GROWTH_SLOPE,
    GROWTH_LEAST_C,
    SPOILED_LOG,
    SPOILED_CELLS,  # 10 to the power of that: saves a logarithm in every step
    HEEL_CELLS,  # to which a heel may grow before it goes out with a rinse
    TIRED_WORTH,
    HAS_MEMBRANE,
    LEAST_SAP_M3,
    LEAST_FLOW_M3_S,  # ends of the concentrate valve
    MOST_FLOW_M3_S,
    LOSS_PER_S,
    WASH_EVERY_S,  # the house's own interval of running time between washes
    RINSE_M3,
    RINSE_S,
    RINSE_RECOVERY,
    WASH_M3,
    WASH_DURATION_S,
    WASH_HANDS_S,
    WASH_RECOVERY,
    START_HANDS_S,
    STOP_HANDS_S,
    MAY_PASS_AGAIN,  # 1 when the membrane can draw from the stock tank
    UNATTENDED,  # 1 when the house allows it and has the cut-outs
    MEMBRANE_OUTDOORS,
    MOTOR_W,
    CONDITION_LASTING,  # what no wash brings back
    NOT_WITH_FIRE,  # 1 when the circuit cannot carry membrane and blower together
    FULL_HEAT_W,
    LIGHT_UP_S,
    BURN_DOWN_S,
    CLEAR_S,  # from the last stoking until the pan may be left
    LEAST_BURN_S,
    BOILING_C,
    COMPARTMENTS,
    MIXING,
    DRAW_KG,
    DRAW_PIECES,  # in which liquid moves up at a draw, so that none is more than a compartment
    BOIL_STEP_S,  # short beside the time that the smallest compartment takes to change
    FINISH_FRACTION,
    RESERVE_M3,  # feed at which a fire is let go, at the least: a rich pan needs more
    BURN_DOWN_KG,  # what a fire let go still boils off
    FUEL_M3_S,  # stacked wood burnt per second at full fire
    LIGHT_UP_WOOD_M3,
    BLOWER_W,
    CHORE_BOIL_S,
    CHORE_SYRUP_S_KG,
    CHORE_RUN_S,
    CHORE_WASH_S,
    CHORE_FROST_S,
    CHORE_DAY_S,
    CROWDED_FRACTION,  # of the sap tank
    GEOMETRY,  # the membrane's own parameters begin here
) = range(67)
GEOMETRY_SIZE = 14
COMPARTMENT_KG = GEOMETRY + GEOMETRY_SIZE
HEAT_SHARE = COMPARTMENT_KG + MAX_COMPARTMENTS
PARAMETERS_SIZE = HEAT_SHARE + MAX_COMPARTMENTS

# --- parameters of a gathering point ------------------------------------------------------------
(
    OWN_TANK,  # 0: its sap runs straight into the sap tank
    POINT_CAPACITY_M3,
    POINT_DEAD_M3,
    EMPTYING_M3_S,
    EMPTYING_START_M3,
    BY_HAND,
    PUMP_W,
) = range(7)
POINT_SIZE = PUMP_W + 1

# --- calendar: one row a step -------------------------------------------------------------------
(
    MINUTE,
    DAY,
    PEOPLE,
    STAY_S,  # time for which somebody stays without a gap
    HOUR_MONEY_S,
    HOUR,
    MEMBRANE_OK_S,  # time for which it yet stays in order; 0 while it is out of order
    PUMP_OK_S,
    PAN_OK_S,
    COUNTED_S,  # of STAY_S: what is only counted, for what runs already; nothing new begins on it
) = range(10)
CALENDAR_WIDTH = COUNTED_S + 1

# --- a plan: one row a day. Clock times are minutes after local midnight, -1 for "not today" -----
(
    MEMBRANE_START,
    MEMBRANE_SAP_M3,
    MEMBRANE_FLOW_M3_S,
    MEMBRANE_STOP,
    NIGHT_FLOW_M3_S,
    WASH_AT,
    WASH_AFTER_S,
    FIRE_START,
    FIRE_STOCK_M3,
    FIRE_STOP,
    MEMBRANE_CALL_M3,  # with so much in the sap tank the membrane is started at any hour; 0: never
    FIRE_CALL_M3,  # with so much in the tank that feeds the pan a fire is lit at any hour; 0: never
    PASS_AGAIN_BRIX,  # once the sap tank is down, stock goes through again up to this; 0: no
    CALL_FLOW_M3_S,  # setting from the call of the sap tank until midnight; 0: as on any day
    GATHER_START,  # sap is fetched from this minute on; 0: whenever it is worth a trip
) = range(15)
PLAN_WIDTH = GATHER_START + 1

# --- trace: one row a step, as it stands at the step's end ----------------------------------------
(
    T_SAP_M3,
    T_SAP_BRIX,
    T_SAP_LIFE,
    T_STOCK_M3,
    T_STOCK_BRIX,
    T_STOCK_LIFE,
    T_PERMEATE_M3,
    T_GATHERED_M3,
    T_MEMBRANE_ON,
    T_CONDITION,
    T_FIRE_ON,
    T_HEAT,
    T_PAN_BRIX,
    T_PAN_SUGAR_KG,
    T_WOOD_M3,
    T_SYRUP_KG,
    T_CLEANING,
    T_RESERVE_M3,
) = range(18)
TRACE_WIDTH = T_RESERVE_M3 + 1
