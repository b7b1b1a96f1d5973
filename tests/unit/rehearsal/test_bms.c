#include "check.h"

#include "rehearsal/bms.h"

static const struct bms_limits limits = {.cell_under_v = 2.5,
                                         .under_s = 2,
                                         .over_a = 150,
                                         .over_s = 1,
                                         .cell_over_v = 3.65,
                                         .over_v_s = 2,
                                         .cell_over_release_v = 3.45,
                                         .minds_temperature = true,
                                         .cold_degc = 0,
                                         .cold_release_degc = 5,
                                         .hot_degc = 55,
                                         .hot_release_degc = 50,
                                         .temperature_s = 3,
                                         .dark_v = 0.3};

static const struct bms_sight calm = {3.2, 3.3, 20, 21, false};

/* Seconds, in steps of a quarter, until the board is no longer closed and mild; NaN when it stays so. */
static double acts_after_s(struct bms *bms, struct bms_sight sight, double most_s)
{
    for (double t_s = 0.25; t_s <= most_s; t_s += 0.25) {
        bms_watch(bms, &limits, 0.25, &sight);
        if (bms->state != BMS_CLOSED || bms->climate != BMS_MILD)
            return t_s;
    }
    return NAN;
}

TEST(each_limit_has_its_delay)
{
    struct bms_sight under = calm, over = calm, full = calm, cold = calm, hot = calm;
    under.lowest_cell_v = 2.499;
    over.a = 150.1;
    full.highest_cell_v = 3.66;
    full.a = -10;
    cold.sensor_degc = -0.1;
    hot.sensor_degc = 55.1;
    const struct bms_sight sights[] = {under, over, full, cold, hot};
    const double delays_s[] = {2, 1, 2, 3, 3};
    const enum bms_state states[] = {BMS_DARK_UNDER_VOLTAGE, BMS_DARK_OVER_CURRENT, BMS_CHARGE_STOPPED,
                                     BMS_CLOSED, BMS_CLOSED};
    for (int k = 0; k < 5; k++) {
        struct bms bms = {0};
        CHECK_NEAR(acts_after_s(&bms, sights[k], 60), delays_s[k], 0);
        CHECK(bms.state == states[k]);
        CHECK(bms_dark(&bms) == (k < 2));
        CHECK(!bms_charges(&bms));
    }
    struct bms bms = {0};
    CHECK(isnan(acts_after_s(&bms, calm, 60)));
}

TEST(a_passing_dip_starts_the_delay_anew)
{
    struct bms bms = {0};
    struct bms_sight over = calm;
    over.a = 400;
    for (int k = 0; k < 50; k++) {
        CHECK(isnan(acts_after_s(&bms, over, 0.75)));
        bms_watch(&bms, &limits, 0.25, &calm);
    }
}

TEST(cold_and_hot_are_let_go_past_the_release_only)
{
    const double path[2][4] = {{-3, 1, 4.9, 5.1}, {60, 53, 50.1, 49.9}};
    for (int k = 0; k < 2; k++) {
        struct bms bms = {0};
        struct bms_sight sight = calm;
        for (int i = 0; i < 4; i++) {
            sight.sensor_degc = path[k][i];
            for (int n = 0; n < 40; n++)
                bms_watch(&bms, &limits, 0.25, &sight);
            CHECK(bms_charges(&bms) == (i == 3));
        }
    }
}

TEST(the_climate_is_remembered_over_the_dark)
{
    struct bms bms = {0};
    struct bms_sight sight = calm;
    sight.sensor_degc = -8;
    sight.lowest_cell_v = 2.2;
    for (int n = 0; n < 40; n++)
        bms_watch(&bms, &limits, 0.25, &sight);
    CHECK(bms_dark(&bms));
    bms_wake(&bms);
    CHECK(!bms_dark(&bms) && !bms_charges(&bms));
    sight.charger_on = true; /* and kept awake, low as its cell is */
    CHECK(acts_after_s(&bms, sight, 60) == 0.25 && bms.state == BMS_CLOSED);
}

TEST(without_a_sensor_temperature_counts_for_nothing)
{
    struct bms_limits deaf = limits;
    deaf.minds_temperature = false;
    struct bms bms = {0};
    struct bms_sight sight = calm;
    sight.sensor_degc = -40;
    for (int n = 0; n < 400; n++)
        bms_watch(&bms, &deaf, 0.25, &sight);
    CHECK(bms_charges(&bms));
}
