#include "check.h"

#include "rehearsal/invented.h"
#include "rehearsal/run.h"

static struct cell_ocv ocv;
static struct pack_make make;
static struct truth truth, twin;

static void run(const struct load_segment *segments, size_t count, double grid_s, double soc)
{
    struct program program = {segments, count, grid_s, 1e5};
    struct pack pack;
    pack_init(&pack, &make, soc);
    rehearse(&pack, &program, &truth);
}

static void set_up(void)
{
    invented_ocv(&ocv);
    make = invented_pack(&ocv, 4, 102.5);
}

static const struct load_segment to_the_end[] = {
    {.kind = SEGMENT_REST, .duration_s = 247},
    {.kind = SEGMENT_POWER, .amount = 288, .idle_w = 11, .duration_s = 6311},
    {.kind = SEGMENT_POWER, .amount = 1163, .idle_w = 11, .duration_s = 240},
    {.kind = SEGMENT_POWER, .amount = 288, .idle_w = 11, .duration_s = INFINITY},
    {.kind = SEGMENT_REST, .duration_s = 183},
};

TEST(power_stays_what_was_asked)
{
    set_up();
    run(to_the_end, 5, 1, 1);
    size_t cursor = 0;
    struct truth_point from = truth_at(&truth, 247, &cursor), to = truth_at(&truth, 247 + 6311, &cursor);
    CHECK_REL(to.energy_wh - from.energy_wh, 299 * 6311 / 3600.0, 1e-6);
    struct truth_point early = truth_at(&truth, 1000, &cursor), late = truth_at(&truth, 13000, &cursor);
    CHECK(late.v < early.v && late.a > early.a); /* amps rise as volts fall: common practice, no source */
    CHECK_REL(late.a * late.v, early.a * early.v, 5e-5);
}

/* Halving the grid: what is left of the error must fall by half at least (the resistance of a step is
 * that at its start: first order). Compared away from the trip, whose moment is a point of the grid. */
TEST(converges_as_the_grid_is_halved)
{
    set_up();
    const double grids_s[4] = {4, 2, 1, 0.125};
    double v[4], wh[4], degc[4];
    for (int i = 0; i < 4; i++) {
        run(to_the_end, 5, grids_s[i], 1);
        size_t cursor = 0;
        struct truth_point at = truth_at(&truth, 6311 + 247 + 239, &cursor);
        v[i] = at.v;
        degc[i] = at.degc;
        wh[i] = truth_at_charge(&truth, 0, 90.7).energy_wh;
    }
    CHECK(fabs(wh[2] - wh[3]) < 0.01);
    CHECK(fabs(v[2] - v[3]) < 2e-4);
    for (int i = 0; i < 2; i++) {
        CHECK(fabs(v[i + 1] - v[3]) < 0.55 * fabs(v[i] - v[3]));
        CHECK(fabs(wh[i + 1] - wh[3]) < 0.55 * fabs(wh[i] - wh[3]));
        CHECK(fabs(degc[i + 1] - degc[3]) < 0.55 * fabs(degc[i] - degc[3]));
    }
}

TEST(trips_for_the_weakest_cell_then_stays_dark)
{
    set_up();
    run(to_the_end, 5, 1, 1);
    CHECK(truth.end == END_UNDER_VOLTAGE);
    size_t cursor = 0;
    struct truth_point before = truth_at(&truth, truth.end_s - 0.5, &cursor);
    struct truth_point after = truth_at(&truth, truth.end_s + 30, &cursor);
    CHECK(before.a > 25);
    CHECK(after.a == 0);
    CHECK_NEAR(after.v, 0.3, 0);
    CHECK_NEAR(truth.intervals[truth.count].t_s, truth.end_s + 183, 1e-6);
    CHECK_NEAR(truth.end_ah, truth.discharge_ah, 1e-9);
    /* A 102.5 Ah pack at 300 W lasts about four hours. */
    CHECK(truth.end_ah > 98 && truth.end_ah < 102.5);
    CHECK(truth.end_s > 3.6 * 3600 && truth.end_s < 4.3 * 3600);
}

TEST(trips_for_too_much_current_after_its_delay)
{
    set_up();
    make.bms.over_a = 120;
    make.bms.over_s = 3;
    const struct load_segment segments[] = {
        {.kind = SEGMENT_CURRENT, .amount = 20, .duration_s = 100},
        {.kind = SEGMENT_CURRENT, .amount = 130, .duration_s = 60},
        {.kind = SEGMENT_CURRENT, .amount = 20, .duration_s = 100},
    };
    run(segments, 3, 0.25, 0.8);
    CHECK(truth.end == END_OVER_CURRENT);
    CHECK_NEAR(truth.end_s, 103, 1e-9);
    CHECK_NEAR(truth.end_ah, (20 * 100 + 130 * 3) / 3600.0, 1e-9);
    size_t cursor = 0;
    CHECK(truth_at(&truth, 200, &cursor).a == 0);
    make.bms.over_a = 131;
    run(segments, 3, 0.25, 0.8);
    CHECK(truth.end == END_OPERATOR);
    CHECK_NEAR(truth.end_s, 260, 1e-9);
}

TEST(a_load_may_give_up_first)
{
    set_up();
    struct load_segment segments[] = {
        {.kind = SEGMENT_POWER, .amount = 300, .give_up_v = 11.8, .give_up_s = 1, .duration_s = INFINITY},
        {.kind = SEGMENT_REST, .duration_s = 60},
    };
    run(segments, 2, 0.5, 1);
    CHECK(truth.end == END_LOAD);
    CHECK_NEAR(truth.end_v, 11.8, 0.01);
    size_t cursor = 0;
    CHECK(truth_at(&truth, truth.end_s + 59, &cursor).v > 12); /* rebounds, is not dark */
    struct truth_passed passed = truth_below(&truth, 11.8);
    CHECK_NEAR(passed.t_s, truth.end_s - 1, 0.5 + 1e-9);
    CHECK(isnan(truth_below(&truth, 11.5).charge_ah));
}

TEST(a_charger_wakes_the_dark_and_fills)
{
    set_up();
    const struct load_segment segments[] = {
        {.kind = SEGMENT_CURRENT, .amount = 31, .duration_s = INFINITY},
        {.kind = SEGMENT_REST, .duration_s = 120},
        {.kind = SEGMENT_CHARGE, .amount = 25, .charge_v = 14.0, .tail_a = 2.5, .duration_s = INFINITY},
        {.kind = SEGMENT_REST, .duration_s = 600},
    };
    run(segments, 4, 1, 0.3);
    CHECK(truth.end == END_UNDER_VOLTAGE);
    size_t cursor = 0;
    struct truth_point full = truth_at(&truth, truth.segment_s[3] - 0.5, &cursor);
    CHECK_NEAR(full.v, 14.0, 1e-3);
    CHECK(full.a > -2.6 && full.a < 0);
    CHECK(truth.charge_in_ah > 95);
    /* Without a voltage limit of the charger's own the board stops it, and lets current out again. */
    struct load_segment rough[] = {
        {.kind = SEGMENT_CHARGE, .amount = 25, .charge_v = 16, .tail_a = 2.5, .duration_s = INFINITY},
        {.kind = SEGMENT_CURRENT, .amount = 10, .duration_s = 60},
    };
    run(rough, 2, 1, 0.95);
    CHECK(truth.segment_s[1] < 3600);
    CHECK_NEAR(truth.discharge_ah, 10 * 60 / 3600.0, 1e-9);
}

TEST(steps_carry_the_resistance_of_the_model)
{
    set_up();
    make.slow_ohm = 0;
    const struct load_segment segments[] = {
        {.kind = SEGMENT_CURRENT, .amount = 10, .duration_s = 600},
        {.kind = SEGMENT_CURRENT, .amount = 60, .duration_s = 30},
    };
    run(segments, 2, 0.25, 0.55);
    CHECK(truth.steps_count == 2);
    const struct truth_step *step = &truth.steps[1];
    CHECK_NEAR(step->at_s, 600, 1e-9);
    CHECK_NEAR(step->from_a, 10, 0);
    CHECK_NEAR(step->to_a, 60, 0);
    size_t cursor = 0;
    struct truth_point before = truth_at(&truth, 600 - 1e-9, &cursor);
    for (int i = 0; i < TRUTH_DELAYS; i++) {
        struct truth_point after = truth_at(&truth, 600 + truth_delays_s[i], &cursor);
        /* The plateau falls a little meanwhile, and the pack warms: two parts in a hundred. */
        CHECK_REL((before.v - after.v) / 50, step->ohm[i], 0.02);
    }
    CHECK(step->ohm[0] < step->ohm[1] && step->ohm[1] < step->ohm[2]);
}

/* Ripple: sample one period of i = I + s sqrt(2) sin, v = U - R i; the mean of v i is V I - R s^2. */
TEST(ripple_takes_from_the_energy_what_the_means_overstate)
{
    set_up();
    struct load_segment segment = {.kind = SEGMENT_CURRENT, .amount = 43, .duration_s = 611};
    run(&segment, 1, 1, 0.7);
    double smooth_wh = truth.discharge_wh, smooth_heat_wh = truth.heat_wh;
    segment.ripple = 0.35;
    run(&segment, 1, 1, 0.7);
    double r_ohm = make.leads_ohm + 4 * make.ohmic_ohm * exp(make.cold_k * (1 / 292.15 - 1 / 298.15));
    double lost_wh = 0, u_v = 13.1;
    for (int i = 0; i < 1000; i++) {
        double a = 43 * (1 + 0.35 * sqrt(2) * sin(2 * M_PI * i / 1000)), mean_v = u_v - r_ohm * 43;
        lost_wh += (mean_v * 43 - (u_v - r_ohm * a) * a) / 1000 * 611 / 3600;
    }
    CHECK_REL(smooth_wh - truth.discharge_wh, lost_wh, 0.01); /* warms by less than a kelvin */
    CHECK_NEAR(truth.heat_wh - smooth_heat_wh, smooth_wh - truth.discharge_wh, 1e-9);
    CHECK_NEAR(truth.intervals[truth.count].ripple_wh, smooth_wh - truth.discharge_wh, 1e-9);
    size_t cursor = 0;
    struct truth_point end = truth_at(&truth, 1e9, &cursor);
    CHECK_NEAR(end.energy_wh, truth.discharge_wh, 1e-9);
    CHECK_NEAR(end.energy_wh + end.ripple_wh, smooth_wh, 1e-9);
}

/* Without warming, the burst's cost while it lasts is near Q R dI, and it comes near the integral taken
 * another way: the twin's volts less the run's volts at equal charge, summed. */
TEST(burst_cost_is_the_area_between_the_twins)
{
    set_up();
    make.cold_k = 0;
    struct program program = {to_the_end, 5, 1, 1e5};
    struct pack fresh, pack;
    pack_init(&fresh, &make, 1);
    pack = fresh;
    rehearse(&pack, &program, &truth);
    struct burst_cost cost = rehearse_burst_cost(&fresh, &program, 2, 900, &truth, &twin);
    size_t cursor = 0;
    double area_wh = 0, burst_s = truth.segment_s[2];
    for (double t_s = burst_s; t_s < burst_s + 240 + 900; t_s += 1) {
        struct truth_point here = truth_at(&truth, t_s + 0.5, &cursor);
        double there_wh = truth_at_charge(&twin, 0, here.charge_ah + 1e-4).energy_wh -
                          truth_at_charge(&twin, 0, here.charge_ah - 1e-4).energy_wh;
        area_wh += (there_wh / 2e-4 - here.v) * here.a / 3600;
    }
    CHECK_REL(cost.energy_wh, area_wh, 2e-3);
    double rough_wh = 240 * 101 / 3600.0 * truth.steps[1].ohm[2] * 76;
    CHECK(cost.energy_wh > 0.9 * rough_wh && cost.energy_wh < 1.4 * rough_wh);
    /* Half-way through, it takes next to nothing from the charge. */
    CHECK(fabs(cost.charge_ah) < 0.02);
    CHECK(isnan(rehearse_burst_cost(&fresh, &program, 0, 900, &truth, &twin).energy_wh));
}

TEST(a_burst_that_reaches_the_cut_off_costs_charge)
{
    set_up();
    struct load_segment segments[3];
    memcpy(segments, to_the_end + 1, sizeof segments);
    segments[0].duration_s = 4.05 * 3600;
    struct program program = {segments, 3, 1, 1e5};
    struct pack fresh, pack;
    pack_init(&fresh, &make, 1);
    pack = fresh;
    rehearse(&pack, &program, &truth);
    CHECK(truth.end == END_UNDER_VOLTAGE);
    CHECK(truth.end_s < truth.segment_s[2]);
    struct burst_cost cost = rehearse_burst_cost(&fresh, &program, 1, 0, &truth, &twin);
    CHECK(cost.charge_ah > 0.3);
}
