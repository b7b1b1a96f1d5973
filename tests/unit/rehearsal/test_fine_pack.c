/* The pack with everything on: it must still keep its books, and each effect must have its known limit. */
#include "check.h"

#include "rehearsal/invented.h"
#include "rehearsal/run.h"

static struct cell_ocv ocv;
static struct pack_make make;
static struct pack pack;
static struct truth truth;

static void set_up(uint32_t seed)
{
    invented_ocv(&ocv);
    make = invented_fine_pack(&ocv, 4, 102.5);
    struct random *random = random_new(seed);
    invented_cells_differ(&make, random);
    random_free(random);
}

static void run(const struct load_segment *segments, size_t count, double grid_s, double soc)
{
    struct program program = {segments, count, grid_s, 2e5};
    pack_init(&pack, &make, soc);
    rehearse(&pack, &program, &truth);
}

static const struct load_segment whole_test[] = {
    {.kind = SEGMENT_REST, .duration_s = 301},
    {.kind = SEGMENT_POWER, .amount = 288, .idle_w = 11, .ripple = 0.22, .duration_s = 6311},
    {.kind = SEGMENT_POWER, .amount = 1163, .idle_w = 11, .ripple = 0.22, .duration_s = 240},
    {.kind = SEGMENT_POWER, .amount = 288, .idle_w = 11, .ripple = 0.22, .duration_s = INFINITY},
    {.kind = SEGMENT_REST, .duration_s = 900},
    {.kind = SEGMENT_CHARGE,
     .amount = 20,
     .charge_v = 14.2,
     .duration_s = 800,
     .touches = true,
     .touch_degc = -12},
    {.kind = SEGMENT_CHARGE,
     .amount = 20,
     .charge_v = 14.2,
     .tail_a = 2,
     .refused_s = 3600,
     .duration_s = INFINITY},
};

/* What has left plus what turned to heat, that of the ripple with it, is what the stored energy fell by. */
TEST(balances_energy_and_charge_with_everything_on)
{
    for (uint32_t seed = 31; seed < 34; seed++) {
        set_up(seed);
        pack_init(&pack, &make, 1);
        double before_wh = pack_stored_wh(&pack);
        run(whole_test, 7, 1, 1);
        double left_wh = truth.discharge_wh - truth.charge_in_wh;
        CHECK(truth.end == END_UNDER_VOLTAGE);
        CHECK(truth.heat_wh > 30);
        CHECK_NEAR(left_wh + truth.heat_wh, before_wh - pack_stored_wh(&pack), 1e-4);
        double left_ah = truth.discharge_ah - truth.charge_in_ah;
        for (int i = 0; i < 4; i++)
            CHECK_NEAR((1 + make.fuller[i] - pack.cells[i].soc) * make.capacity_ah[i], left_ah, 1e-9);
    }
}

TEST(converges_as_the_grid_is_halved)
{
    set_up(31);
    const double grids_s[4] = {4, 2, 1, 0.125};
    double v[4], wh[4];
    for (int i = 0; i < 4; i++) {
        run(whole_test, 4, grids_s[i], 1);
        size_t cursor = 0;
        v[i] = truth_at(&truth, 301 + 6311 + 239, &cursor).v;
        wh[i] = truth_at_charge(&truth, 0, 90.7).energy_wh;
    }
    CHECK(fabs(wh[2] - wh[3]) < 0.01);
    CHECK(fabs(v[2] - v[3]) < 2e-4);
    for (int i = 0; i < 2; i++) {
        CHECK(fabs(v[i + 1] - v[3]) < 0.55 * fabs(v[i] - v[3]));
        CHECK(fabs(wh[i + 1] - wh[3]) < 0.55 * fabs(wh[i] - wh[3]));
    }
}

/* Constant current for long, on cells that do not empty: the pack settles where hA dT = I (U - V). */
TEST(settles_where_cooling_takes_the_heat)
{
    set_up(5);
    make.hysteresis_v = 0;
    for (int i = 0; i < CELL_OCV_SPANS; i++)
        ocv.nodes[i] = (struct cell_node){3.3, 0, 1, 0, 3.3 * i / CELL_OCV_SPANS};
    struct load_segment segment = {.kind = SEGMENT_CURRENT, .amount = 60, .duration_s = 90000};
    run(&segment, 1, 5, 1);
    const struct truth_interval *last = &truth.intervals[truth.count - 1];
    CHECK_NEAR(make.cooling_w_per_k * (pack.degc - make.ambient_degc), 60 * (4 * 3.3 - last->end_v), 0.01);
    CHECK(pack.degc - make.ambient_degc > 5);
    CHECK_NEAR(pack.sensor_degc, pack.degc, 0.01);
}

/* 1 - exp(-t/tau) of the way, times how far it follows what touches it. */
TEST(the_sensor_lags_and_follows_what_touches_it)
{
    set_up(5);
    struct load_segment segments[] = {
        {.kind = SEGMENT_REST, .duration_s = 57, .touches = true, .touch_degc = -20},
        {.kind = SEGMENT_REST, .duration_s = 31},
    };
    run(segments, 2, 0.5, 0.5);
    double gap = make.sensor_touch * (-20 - make.ambient_degc) * (1 - exp(-57 / make.sensor_s));
    size_t cursor = 0;
    CHECK_NEAR(truth_at(&truth, 57, &cursor).sensor_degc, make.ambient_degc + gap, 1e-9);
    CHECK_NEAR(pack.sensor_degc, make.ambient_degc + gap * exp(-31 / make.sensor_s), 1e-9);
    CHECK_NEAR(pack.degc, make.ambient_degc, 1e-9);
}

/* Behind a ramp of so many kelvin a second: by that much for each second of lag, once the beginning is forgotten. */
TEST(the_sensor_follows_a_ramp)
{
    set_up(5);
    const double slope = 1.8 / 60, last_s = 613, tau = make.sensor_s;
    struct load_segment segments[] = {
        {.kind = SEGMENT_REST, .duration_s = last_s, .touches = true, .touch_degc = 11, .touch_k_per_s = slope},
    };
    run(segments, 1, 0.5, 0.5);
    double begin = make.sensor_touch * (11 - make.ambient_degc), gone = exp(-last_s / tau);
    double ramp = make.sensor_touch * slope * (last_s - tau * (1 - gone));
    CHECK_NEAR(pack.sensor_degc, make.ambient_degc + begin * (1 - gone) + ramp, slope * 0.5);
}

/* Cold: resistance and time constants grow by the same factor, so that R(t) is the same curve, stretched. */
TEST(time_constants_follow_the_resistances)
{
    set_up(5);
    make.leads_ohm = make.ohmic_ohm = make.fast_ohm = 0;
    pack_init(&pack, &make, 0.6);
    pack.degc = 25;
    double warm_ohm = pack_resistance_ohm(&pack, 40);
    pack.degc = -5;
    double factor = exp((make.cold_k + make.slow_more_k) * (1 / 268.15 - 1 / 298.15));
    CHECK(factor > 2);
    CHECK_REL(pack_resistance_ohm(&pack, 40 * factor), factor * warm_ohm, 1e-8);
    make.time_follows = false;
    CHECK_REL(pack_resistance_ohm(&pack, 40), factor * warm_ohm, 1e-8);
}

TEST(resistance_of_the_model_is_what_a_step_shows)
{
    set_up(8);
    make.cold_k = make.fast_more_k = make.slow_more_k = make.hysteresis_v = 0; /* it warms meanwhile */
    const struct load_segment segments[] = {
        {.kind = SEGMENT_REST, .duration_s = 100},
        {.kind = SEGMENT_CURRENT, .amount = 50, .duration_s = 30},
    };
    run(segments, 2, 0.25, 0.55);
    size_t cursor = 0;
    struct truth_point before = truth_at(&truth, 100 - 1e-9, &cursor);
    for (int i = 0; i < TRUTH_DELAYS; i++) {
        struct truth_point after = truth_at(&truth, 100 + truth_delays_s[i], &cursor);
        double drained_v = 0, ah = after.charge_ah;
        for (int k = 0; k < 4; k++)
            drained_v += cell_ocv_at(&ocv, 0.55 + make.fuller[k]).v -
                         cell_ocv_at(&ocv, 0.55 + make.fuller[k] - ah / make.capacity_ah[k]).v;
        CHECK_REL((before.v - after.v - drained_v) / 50, truth.steps[0].ohm[i], 1e-4);
    }
}

/* Flat cells that do not warm: all that a step shows is the circuit. */
TEST(a_step_beside_its_twin_shows_the_circuit)
{
    set_up(8);
    make.cold_k = make.fast_more_k = make.slow_more_k = make.hysteresis_v = 0;
    for (int i = 0; i < CELL_OCV_SPANS; i++)
        ocv.nodes[i] = (struct cell_node){3.3, 0, 1, 0, 3.3 * i / CELL_OCV_SPANS};
    const struct load_segment segments[] = {
        {.kind = SEGMENT_CURRENT, .amount = 20, .duration_s = 300},
        {.kind = SEGMENT_CURRENT, .amount = 70, .duration_s = 31},
        {.kind = SEGMENT_CHARGE, .amount = 15, .charge_v = 20, .tail_a = 1, .duration_s = 300},
        {.kind = SEGMENT_CURRENT, .amount = 400, .duration_s = INFINITY},
        {.kind = SEGMENT_CURRENT, .amount = 20, .duration_s = 60},
    };
    struct program program = {segments, 5, 0.25, 1e5};
    struct pack fresh;
    struct truth twin = {0};
    pack_init(&fresh, &make, 0.9);
    pack = fresh;
    rehearse(&pack, &program, &truth);
    double ohm[TRUTH_DELAYS];
    for (size_t k = 1; k < 3; k++) {
        rehearse_step_ohm(&fresh, &program, k, truth_delays_s, TRUTH_DELAYS, &truth, &twin, ohm);
        for (int i = 0; i < TRUTH_DELAYS; i++)
            CHECK_REL(ohm[i], truth.steps[k].ohm[i], 1e-6);
    }
    for (size_t k = 0; k < 5; k += 4) { /* nothing before; dark before */
        rehearse_step_ohm(&fresh, &program, k, truth_delays_s, TRUTH_DELAYS, &truth, &twin, ohm);
        CHECK(isnan(ohm[0]) && isnan(ohm[2]));
    }
    truth_free(&twin);
}

/* Chilled, the board refuses the charger, which waits; past the release the charge goes on and ends by its
 * tail. The board's changes are told in order. */
TEST(a_chilled_sensor_holds_up_the_charge)
{
    set_up(31);
    run(whole_test, 7, 1, 0.2);
    const enum bms_state states[] = {BMS_DARK_UNDER_VOLTAGE, BMS_CLOSED, BMS_CLOSED, BMS_CLOSED};
    const enum bms_climate climates[] = {BMS_MILD, BMS_MILD, BMS_TOO_COLD, BMS_MILD};
    CHECK(truth.events_count == 4);
    for (size_t k = 0; k < 4 && k < truth.events_count; k++) {
        CHECK(truth.events[k].state == states[k]);
        CHECK(truth.events[k].climate == climates[k]);
    }
    CHECK_NEAR(truth.events[1].at_s, truth.segment_s[5], 1e-9); /* woken */
    CHECK(truth.events[2].sensor_degc < 0);
    CHECK_NEAR(truth.events[3].sensor_degc, 5, 1);
    size_t cursor = 0;
    CHECK(truth_at(&truth, truth.events[2].at_s + 5, &cursor).a == 0);
    CHECK(truth_at(&truth, truth.events[3].at_s + 60, &cursor).a == -20);
    const struct truth_interval *last = &truth.intervals[truth.count - 1];
    CHECK(last->a < 0 && last->a > -2.1);
    CHECK_NEAR(last->end_v, 14.2, 0.01);
}

TEST(a_charge_refused_for_good_is_given_up)
{
    set_up(31);
    make.ambient_degc = -7;
    struct load_segment segment = {.kind = SEGMENT_CHARGE,
                                   .amount = 20,
                                   .charge_v = 14.2,
                                   .tail_a = 2,
                                   .refused_s = 1200,
                                   .duration_s = INFINITY};
    run(&segment, 1, 1, 0.4);
    CHECK_NEAR(truth.segment_s[1], 1203, 1.5);
    CHECK(truth.charge_in_ah < 0.03);
}

TEST(cells_are_drawn_within_their_bounds_and_by_the_seed)
{
    set_up(77);
    struct pack_make first = make;
    set_up(77);
    CHECK(memcmp(&first, &make, sizeof make) == 0);
    set_up(78);
    CHECK(first.capacity_ah[2] != make.capacity_ah[2]);
    double smallest = INFINITY;
    for (int i = 0; i < 4; i++) {
        smallest = fmin(smallest, make.capacity_ah[i]);
        CHECK(make.capacity_ah[i] < 102.5 * 1.0075 / 0.9925 && fabs(make.resists[i] - 1) <= 0.08);
        CHECK(make.fuller[i] <= 0 && make.fuller[i] >= -0.005);
    }
    CHECK_NEAR(smallest, 102.5, 1e-9);
}
