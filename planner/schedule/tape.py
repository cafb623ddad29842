"""An Instance laid out on two flat arrays, so that compiled code takes two arguments instead of seventy.

A compiled function with the whole Instance as its argument takes a minute to build and copies half a thousand values
at each call. On the tape, `ints[n]` is where field n begins (and field n - 1 ends); float fields follow the same way,
their offsets in `ints` too. Element i of an int field is `ints[ints[FIELD] + i]`, of a float field
`floats[ints[FIELD] + i]`; a field of more dimensions is laid out in row-major order.
"""

from typing import NamedTuple

import numpy as np

from planner.schedule.instance import Floats, Instance, Ints

INT_FIELDS = (
    "open_ptr", "open_start", "open_end", "restart_s", "press_tool", "press_melt", "pinned",
    "run_tool", "run_melt", "run_shots", "fits", "clash", "shot_num", "shot_den", "startup_shots", "startup_s",
    "lot_run", "lot_shots", "setters", "mount_s", "tool_ready", "purge_s", "hot_s", "hot_runner",
    "melt_resin", "melt_master", "supply_ptr", "supply_t",
    "good_run", "good_stock", "good_need", "good_count_shots", "good_rest_s", "piece_ptr", "piece_t", "piece_count",
    "asm_start", "asm_end", "asm_people", "pack_start", "pack_end", "pack_people",
    "job_ptr", "job_work", "job_need_ptr", "job_good", "job_qty",
    "batch_work", "batch_parcels", "batch_due", "batch_need_ptr", "batch_good", "batch_qty",
    "pickup_t", "pickup_day", "pickup_parcels",
    "compound", "compound_s", "compound_only", "hot_compound_s", "hot_only",
)  # fmt: skip

FLOAT_FIELDS = (
    "press_cost_s", "shot_kg", "setter_cost_s", "purge_kg", "hot_kg", "waste_cost_kg", "melt_master_share",
    "supply_kg", "material_have", "material_regrind", "bag_kg", "min_order_kg", "material_price",
    "batch_late_cost", "batch_weight", "fixed_cost", "aim_cost", "aim_last", "aim_mean", "aim_waste",
    "compound_cost_kg", "compound_kg", "compound_rinse_kg", "hot_compound_kg", "hot_rinse_kg",
)  # fmt: skip

(
    OPEN_PTR, OPEN_START, OPEN_END, RESTART_S, PRESS_TOOL, PRESS_MELT, PINNED,
    RUN_TOOL, RUN_MELT, RUN_SHOTS, FITS, CLASH, SHOT_NUM, SHOT_DEN, STARTUP_SHOTS, STARTUP_S,
    LOT_RUN, LOT_SHOTS, SETTERS, MOUNT_S, TOOL_READY, PURGE_S, HOT_S, HOT_RUNNER,
    MELT_RESIN, MELT_MASTER, SUPPLY_PTR, SUPPLY_T,
    GOOD_RUN, GOOD_STOCK, GOOD_NEED, GOOD_COUNT_SHOTS, GOOD_REST_S, PIECE_PTR, PIECE_T, PIECE_COUNT,
    ASM_START, ASM_END, ASM_PEOPLE, PACK_START, PACK_END, PACK_PEOPLE,
    JOB_PTR, JOB_WORK, JOB_NEED_PTR, JOB_GOOD, JOB_QTY,
    BATCH_WORK, BATCH_PARCELS, BATCH_DUE, BATCH_NEED_PTR, BATCH_GOOD, BATCH_QTY,
    PICKUP_T, PICKUP_DAY, PICKUP_PARCELS,
    COMPOUND, COMPOUND_S, COMPOUND_ONLY, HOT_COMPOUND_S, HOT_ONLY,
) = range(len(INT_FIELDS))  # fmt: skip

# Float fields have their offsets in `ints` after those of the int fields and their end.
(
    PRESS_COST_S, SHOT_KG, SETTER_COST_S, PURGE_KG, HOT_KG, WASTE_COST_KG, MELT_MASTER_SHARE,
    SUPPLY_KG, MATERIAL_HAVE, MATERIAL_REGRIND, BAG_KG, MIN_ORDER_KG, MATERIAL_PRICE,
    BATCH_LATE_COST, BATCH_WEIGHT, FIXED_COST, AIM_COST, AIM_LAST, AIM_MEAN, AIM_WASTE,
    COMPOUND_COST_KG, COMPOUND_KG, COMPOUND_RINSE_KG, HOT_COMPOUND_KG, HOT_RINSE_KG,
) = range(len(INT_FIELDS) + 1, len(INT_FIELDS) + 1 + len(FLOAT_FIELDS))  # fmt: skip


class Tape(NamedTuple):
    """An Instance as compiled code reads it."""

    ints: Ints
    floats: Floats


def tape(inst: Instance) -> Tape:
    """Lay an Instance out."""
    whole = [np.atleast_1d(np.asarray(getattr(inst, f))).astype(np.int64).ravel() for f in INT_FIELDS]
    real = [np.atleast_1d(np.asarray(getattr(inst, f))).astype(np.float64).ravel() for f in FLOAT_FIELDS]
    header = len(INT_FIELDS) + 1 + len(FLOAT_FIELDS) + 1
    offsets = header + np.concatenate(([0], np.cumsum([a.size for a in whole])))
    real_offsets = np.concatenate(([0], np.cumsum([a.size for a in real])))
    ints = np.concatenate([offsets, real_offsets, *whole]).astype(np.int64)
    return Tape(ints, np.concatenate(real))
