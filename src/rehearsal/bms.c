#include "rehearsal/bms.h"

bool bms_dark(const struct bms *bms)
{
    return bms->state == BMS_DARK_UNDER_VOLTAGE || bms->state == BMS_DARK_OVER_CURRENT;
}

bool bms_charges(const struct bms *bms)
{
    return bms->state == BMS_CLOSED && bms->climate == BMS_MILD;
}

static bool too_long(double passed_for_s, double allowed_s)
{
    return passed_for_s > 0 && passed_for_s >= allowed_s;
}

static void open_as(struct bms *bms, enum bms_state state)
{
    *bms = (struct bms){.state = state, .climate = bms->climate, .climate_for_s = bms->climate_for_s};
}

static enum bms_climate climate_of(const struct bms_limits *limits, double degc)
{
    return degc < limits->cold_degc ? BMS_TOO_COLD : degc > limits->hot_degc ? BMS_TOO_HOT : BMS_MILD;
}

static void watch_climate(struct bms *bms, const struct bms_limits *limits, double step_s, double degc)
{
    if ((bms->climate == BMS_TOO_COLD && degc > limits->cold_release_degc) ||
        (bms->climate == BMS_TOO_HOT && degc < limits->hot_release_degc))
        bms->climate = BMS_MILD;
    enum bms_climate now = climate_of(limits, degc);
    bms->climate_for_s = now != BMS_MILD ? bms->climate_for_s + step_s : 0;
    if (too_long(bms->climate_for_s, limits->temperature_s))
        bms->climate = now;
}

void bms_watch(struct bms *bms, const struct bms_limits *limits, double step_s, const struct bms_sight *sight)
{
    if (limits->minds_temperature)
        watch_climate(bms, limits, step_s, sight->sensor_degc);
    if (bms_dark(bms))
        return;
    double a = sight->a;
    if (bms->state == BMS_CHARGE_STOPPED && (a > 0 || sight->highest_cell_v < limits->cell_over_release_v))
        bms->state = BMS_CLOSED;
    /* A cell below the limit under a charger is on its way back: no reason to open. */
    bool under = !sight->charger_on && sight->lowest_cell_v < limits->cell_under_v;
    bool over = a < 0 && sight->highest_cell_v > limits->cell_over_v;
    bms->under_for_s = under ? bms->under_for_s + step_s : 0;
    bms->over_for_s = a > limits->over_a ? bms->over_for_s + step_s : 0;
    bms->over_v_for_s = over ? bms->over_v_for_s + step_s : 0;
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
