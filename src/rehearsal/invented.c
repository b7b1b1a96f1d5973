#include "rehearsal/invented.h"

void invented_ocv(struct cell_ocv *ret_ocv)
{
    cell_ocv_init(ret_ocv, CELL_WINDOW_INVENTED, 3, 0.03);
}

struct pack_make invented_pack(const struct cell_ocv *ocv, int cells, double capacity_ah)
{
    static const double spread[4] = {1.0047, 1, 1.0021, 1.0083}; /* the second cell is the weakest */
    double smaller = 100 / capacity_ah;                          /* a small cell resists more */
    struct pack_make make = {
        .ocv = ocv,
        .cells = cells,
        .ohmic_ohm = 0.7e-3 * smaller,
        .fast_ohm = 0.4e-3 * smaller,
        .slow_ohm = 0.9e-3 * smaller,
        .fast_s = 7,
        .slow_s = 210,
        .leads_ohm = 11e-3,
        .cold_k = 2400,
        .heat_j_per_k = 110 * cells * capacity_ah / 4,
        .cooling_w_per_k = 2.1,
        .ambient_degc = 19,
        .bms = {.cell_under_v = 2.5,
                .under_s = 2,
                .over_a = 1.5 * capacity_ah,
                .over_s = 1,
                .cell_over_v = 3.65,
                .over_v_s = 2,
                .cell_over_release_v = 3.45,
                .dark_v = 0.3},
    };
    for (int i = 0; i < cells; i++)
        make.capacity_ah[i] = capacity_ah * spread[i % 4];
    return make;
}

struct pack_make invented_fine_pack(const struct cell_ocv *ocv, int cells, double capacity_ah)
{
    struct pack_make make = invented_pack(ocv, cells, capacity_ah);
    double smaller = 100 / capacity_ah;
    make.ohmic_ohm = 0.55e-3 * smaller;
    make.fast_ohm = 0.3e-3 * smaller;
    make.slow_ohm = 1.3e-3 * smaller;
    make.fast_s = 3.5;
    make.slow_s = 340;
    make.rungs = 5;
    make.leads_ohm = 0.25 / capacity_ah + 5e-3;
    make.cold_k = 1100;
    make.fast_more_k = 2700;
    make.slow_more_k = 1400;
    make.time_follows = true;
    make.hysteresis_v = 0.005;
    make.hysteresis_span = 0.04;
    make.sensor_s = 40;
    make.sensor_touch = 0.9;
    make.bms.minds_temperature = true;
    make.bms.cold_degc = 0;
    make.bms.cold_release_degc = 5;
    make.bms.hot_degc = 55;
    make.bms.hot_release_degc = 50;
    make.bms.temperature_s = 3;
    return make;
}

/* Both ways from the middle, `half` at most. */
static double about(struct random *random, double half)
{
    return half * (2 * random_uniform(random) - 1);
}

void invented_cells_differ(struct pack_make *make, struct random *random)
{
    double smallest = INFINITY, drawn = INFINITY;
    for (int i = 0; i < make->cells; i++)
        smallest = fmin(smallest, make->capacity_ah[i]);
    for (int i = 0; i < make->cells; i++) {
        make->capacity_ah[i] = 1 + about(random, 0.0075);
        make->resists[i] = 1 + about(random, 0.08);
        make->fuller[i] = -0.005 * random_uniform(random);
        drawn = fmin(drawn, make->capacity_ah[i]);
    }
    for (int i = 0; i < make->cells; i++)
        make->capacity_ah[i] *= smallest / drawn;
}

struct spread invented_bound(double half_width)
{
    return (struct spread){half_width / sqrt(3), SHAPE_RECTANGULAR};
}

struct instrument_make invented_meter(void)
{
    return (struct instrument_make){
        .v = {invented_bound(0.004), invented_bound(0.02), 0.003, 0.01},
        .a = {invented_bound(0.008), invented_bound(0.05), 0.02, 0.1},
        .degc = {{0}, invented_bound(1), 0.1, 1},
        .clock = invented_bound(50e-6),
        .amp_lag_s = invented_bound(0.2),
        .tally_offset_a = invented_bound(0.01),
        .tally_ah_digit = 0.01,
        .tally_wh_digit = 0.1,
        .tally_dark = TALLY_FREEZES,
        .average_s = 0.5,
        .period_s = 1,
        .jitter_s = 0.1,
        .needs_v = 7,
    };
}

struct instrument_make invented_bench_meter(void)
{
    return (struct instrument_make){
        .v = {invented_bound(0.0005), invented_bound(0.004), 0.0015, 0.001},
        .a = {invented_bound(0.003), invented_bound(0.03), 0.015, 0.01},
        .clock = invented_bound(40e-6),
        .amp_lag_s = invented_bound(0.1),
        .average_s = 0.1, /* five periods of the mains */
        .period_s = 1,
        .jitter_s = 0.04,
    };
}

struct instrument_make invented_probe(void)
{
    return (struct instrument_make){
        .degc = {{0}, invented_bound(0.7), 0.06, 0.1},
        .clock = invented_bound(40e-6),
        .period_s = 2,
        .jitter_s = 0.04,
        .at_sensor = true,
    };
}
