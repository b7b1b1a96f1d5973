#include "check.h"

#include "rehearsal/invented.h"
#include "rehearsal/run.h"

/* A cell whose resting voltage does not move: what is left is the circuit. */
static void flat_ocv(struct cell_ocv *ret_ocv, double v)
{
    for (int i = 0; i < CELL_OCV_SPANS; i++)
        ret_ocv->nodes[i] = (struct cell_node){v, 0, 1, 0, v * i / CELL_OCV_SPANS};
}

static struct pack_make flat_make(const struct cell_ocv *ocv)
{
    return (struct pack_make){.ocv = ocv,
                              .cells = 1,
                              .capacity_ah = {97.3},
                              .ohmic_ohm = 5e-3,
                              .fast_s = 4,
                              .slow_ohm = 3e-3,
                              .slow_s = 30,
                              .heat_j_per_k = 9870,
                              .cooling_w_per_k = 1.7,
                              .ambient_degc = 25,
                              .bms = {.cell_under_v = 2.5,
                                      .under_s = 2,
                                      .over_a = 1000,
                                      .over_s = 1,
                                      .cell_over_v = 20,
                                      .dark_v = 0.3}};
}

/* 13.2 V, 5 mOhm, one RC of 3 mOhm and 30 s, 100 A for 30 s: 12.510364 V (arithmetic, no source). */
TEST(rc_pair_is_exact_whatever_the_step)
{
    static struct cell_ocv ocv;
    flat_ocv(&ocv, 13.2);
    struct pack_make make = flat_make(&ocv);
    const double steps_s[] = {0.3, 7.5, 30};
    for (int i = 0; i < 3; i++) {
        struct pack pack;
        pack_init(&pack, &make, 0.8);
        struct pack_pace pace = pack_pace(&make, steps_s[i]);
        struct pack_terminal seen = {0};
        for (int k = 0; k < (int)round(30 / steps_s[i]); k++) {
            struct pack_view view;
            pack_look(&pack, &pace, &view);
            pack_step(&pack, &pace, &view, 100, &seen);
        }
        CHECK_NEAR(seen.end_v, 12.510364, 6e-7);
        CHECK_NEAR(pack_resistance_ohm(&pack, 30) * 100, 13.2 - 12.510364, 6e-7);
    }
}

/* 13.2 V, 5 mOhm, 1000 W: 78.06602 A, 12.80967 V; at most V^2/4R = 8712 W (arithmetic, no source). */
TEST(constant_power_root)
{
    CHECK_NEAR(load_power_a(13.2, 5e-3, 1000), 78.06602, 6e-6);
    CHECK_NEAR(13.2 - 5e-3 * load_power_a(13.2, 5e-3, 1000), 12.80967, 6e-6);
    CHECK(isnan(load_power_a(13.2, 5e-3, 8713)));
    CHECK_NEAR(load_power_a(13.2, 5e-3, 8711.99), 13.2 / 2 / 5e-3, 3);
    struct load_segment too_much = {.kind = SEGMENT_POWER, .amount = 9000, .idle_w = 12};
    struct pack_view view = {.volts = 13.2, .ohms = 5e-3};
    CHECK_NEAR(load_draw_a(&too_much, &view), 1320, 1e-9);
}

/* dT(t) = (I^2 R / hA) (1 - exp(-t hA / C)) (arithmetic, no source). */
TEST(heats_as_one_lump)
{
    static struct cell_ocv ocv;
    flat_ocv(&ocv, 13.2);
    struct pack_make make = flat_make(&ocv);
    make.slow_ohm = 0;
    struct pack pack;
    pack_init(&pack, &make, 1);
    struct load_segment segment = {.kind = SEGMENT_CURRENT, .amount = 61.7, .duration_s = 1834};
    struct program program = {&segment, 1, 1, 1e5};
    struct truth truth = {0};
    rehearse(&pack, &program, &truth);
    double settled = 61.7 * 61.7 * 5e-3 / 1.7;
    CHECK_NEAR(pack.degc, 25 + settled * (1 - exp(-1834 * 1.7 / 9870)), 1e-9);
    truth_free(&truth);
}

TEST(cold_and_small_cells_resist_more)
{
    static struct cell_ocv ocv;
    invented_ocv(&ocv);
    struct pack_make make = invented_pack(&ocv, 4, 102.5);
    struct pack pack;
    pack_init(&pack, &make, 0.63);
    pack.degc = 25;
    double cells_ohm = pack_resistance_ohm(&pack, 10) - make.leads_ohm;
    pack.degc = 0;
    double cold_ohm = pack_resistance_ohm(&pack, 10) - make.leads_ohm;
    CHECK_REL(cold_ohm / cells_ohm, exp(2400 * (1 / 273.15 - 1 / 298.15)), 1e-9);
    CHECK(cells_ohm + make.leads_ohm > 0.013 && cells_ohm + make.leads_ohm < 0.025);
}

/* What has left plus what turned to heat is what the cells' stored energy fell by; and the charge
 * that left is what each cell lost. Over a discharge with a burst, the dark, and a charge. */
TEST(balances_energy_and_charge)
{
    static struct cell_ocv ocv;
    invented_ocv(&ocv);
    struct pack_make make = invented_pack(&ocv, 4, 102.5);
    struct load_segment segments[] = {
        {.kind = SEGMENT_POWER, .amount = 311, .idle_w = 9, .duration_s = 5432},
        {.kind = SEGMENT_POWER, .amount = 1190, .idle_w = 9, .duration_s = 241.3},
        {.kind = SEGMENT_RESISTANCE, .amount = 0.37, .duration_s = INFINITY},
        {.kind = SEGMENT_REST, .duration_s = 300},
        {.kind = SEGMENT_CHARGE, .amount = 20, .charge_v = 14.2, .tail_a = 2, .duration_s = INFINITY},
    };
    struct program program = {segments, 5, 1, 1e5};
    struct truth truth = {0};
    struct pack pack;
    pack_init(&pack, &make, 1);
    double before_wh = pack_stored_wh(&pack);
    rehearse(&pack, &program, &truth);
    double left_wh = truth.discharge_wh - truth.charge_in_wh;
    CHECK(truth.end == END_UNDER_VOLTAGE);
    CHECK(truth.heat_wh > 60);
    CHECK_NEAR(left_wh + truth.heat_wh, before_wh - pack_stored_wh(&pack), 1e-5);
    CHECK_NEAR(left_wh, truth.intervals[truth.count].energy_wh, 1e-9);
    double left_ah = truth.discharge_ah - truth.charge_in_ah;
    for (int i = 0; i < 4; i++)
        CHECK_NEAR((1 - pack.cells[i].soc) * make.capacity_ah[i], left_ah, 1e-9);
    truth_free(&truth);
}

TEST(weakest_cell_trips_before_the_mean_is_low)
{
    static struct cell_ocv ocv;
    invented_ocv(&ocv);
    struct pack_make make = invented_pack(&ocv, 4, 102.5);
    make.capacity_ah[1] = 97;
    struct load_segment segment = {.kind = SEGMENT_CURRENT, .amount = 25, .duration_s = INFINITY};
    struct program program = {&segment, 1, 1, 1e5};
    struct truth truth = {0};
    struct pack pack;
    pack_init(&pack, &make, 1);
    rehearse(&pack, &program, &truth);
    CHECK(truth.end == END_UNDER_VOLTAGE);
    CHECK(truth.end_ah < 97);
    CHECK(truth.end_v / 4 > 2.7);
    truth_free(&truth);
}

TEST(hysteresis_sets_charge_above_discharge)
{
    static struct cell_ocv ocv;
    invented_ocv(&ocv);
    struct pack_make make = invented_pack(&ocv, 4, 100);
    make.hysteresis_v = 0.01;
    make.hysteresis_span = 0.02;
    make.bms.cell_over_v = 5;
    struct pack_pace pace = pack_pace(&make, 1);
    double v[2];
    for (int way = 0; way < 2; way++) { /* down to the middle, up to the middle */
        struct pack pack;
        pack_init(&pack, &make, way == 0 ? 0.7 : 0.3);
        struct load_segment segments[] = {
            {.kind = SEGMENT_CURRENT, .amount = way == 0 ? 20 : -20, .duration_s = 3600},
            {.kind = SEGMENT_REST, .duration_s = 7200}};
        struct program program = {segments, 2, 1, 1e5};
        struct truth truth = {0};
        rehearse(&pack, &program, &truth);
        struct pack_view view;
        pack_look(&pack, &pace, &view);
        v[way] = view.start_v;
        truth_free(&truth);
    }
    CHECK_NEAR(v[1] - v[0], 4 * 2 * 0.01, 0.004);
}
