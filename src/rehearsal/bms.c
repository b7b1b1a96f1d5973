#include "rehearsal/bms.h"

bool bms_dark(const struct bms *bms)
{
    return bms->state == BMS_DARK_UNDER_VOLTAGE || bms->state == BMS_DARK_OVER_CURRENT;
}

static bool too_long(double passed_for_s, double allowed_s)
{
    return passed_for_s > 0 && passed_for_s >= allowed_s;
}

static void open_as(struct bms *bms, enum bms_state state)
{
    *bms = (struct bms){.state = state};
}

void bms_watch(struct bms *bms, const struct bms_limits *limits, double step_s, double lowest_cell_v,
               double highest_cell_v, double a)
{
    if (bms_dark(bms))
        return;
    if (bms->state == BMS_CHARGE_STOPPED && (a > 0 || highest_cell_v < limits->cell_over_release_v))
        bms->state = BMS_CLOSED;
    /* A cell below the limit while a charger fills it is on its way back: no reason to open. */
    bms->under_for_s = a >= 0 && lowest_cell_v < limits->cell_under_v ? bms->under_for_s + step_s : 0;
    bms->over_for_s = a > limits->over_a ? bms->over_for_s + step_s : 0;
    bms->over_v_for_s = a < 0 && highest_cell_v > limits->cell_over_v ? bms->over_v_for_s + step_s : 0;
    if (too_long(bms->over_for_s, limits->over_s))
        open_as(bms, BMS_DARK_OVER_CURRENT);
    else if (too_long(bms->under_for_s, limits->under_s))
        open_as(bms, BMS_DARK_UNDER_VOLTAGE);
    else if (too_long(bms->over_v_for_s, limits->over_v_s))
        open_as(bms, BMS_CHARGE_STOPPED);
}

void bms_wake(struct bms *bms)
{
    if (bms_dark(bms))
        open_as(bms, BMS_CLOSED);
}
