/* What the board of a rehearsed pack let through and what it stopped, against the truth of each. */
#include "battery/examine.h"
#include "numeric/random.h"
#include "rehearsed.h"

static struct rehearsed bench;
static struct findings found;
static struct notices notices;
static double faster_cooling_w_per_k = NAN; /* when not NaN, of the room */

/* Both errors of a meter that is drawn are normal: within three of them. */
static bool holds(const struct measure *m, double truth)
{
    bool yes = measure_known(m) && fabs(m->value - truth) <= fmax(3 * m->u, m->hi - m->value);
    if (!yes)
        printf("    %g, found %g in [%g, %g]: %s\n", truth, m->value, m->lo, m->hi, m->why);
    return yes;
}

static void watch(const struct load_segment *segments, size_t count, double soc, double over_a, double over_s, uint32_t seed)
{
    struct random *random = random_new(seed);
    struct instrument_make meter = invented_bench_meter();
    meter.degc = (struct meter_channel_make){.offset = {0.5 / sqrt(3), SHAPE_RECTANGULAR}, .noise = 0.04, .digit = 0.1};
    invented_ocv(&bench.ocv);
    bench.make = invented_pack(&bench.ocv, 4, 102.5);
    bench.make.bms.over_a = over_a;
    bench.make.bms.over_s = over_s;
    if (!isnan(faster_cooling_w_per_k))
        bench.make.cooling_w_per_k = faster_cooling_w_per_k;
    bench.program = (struct program){segments, count, 0.1, 2e5};
    pack_init(&bench.fresh, &bench.make, soc);
    struct pack pack = bench.fresh;
    rehearse(&pack, &bench.program, &bench.truth);
    struct instrument instrument = instrument_draw(&meter, random);
    instrument_read(&instrument, &bench.truth, random, &bench.shown);
    random_free(random);
    rehearsed_log(&bench, &meter);
    bench.series.column[CHANNEL_TEMPERATURE] = malloc((bench.shown.count + 1) * sizeof(double));
    for (size_t k = 0; k < bench.shown.count; k++)
        bench.series.column[CHANNEL_TEMPERATURE][k] = bench.shown.degc[k];
    bench.series.resolution[CHANNEL_TEMPERATURE] = 0.1;
    bench.rig.of[CHANNEL_TEMPERATURE] = (struct accuracy){.offset = 0.5, .stated = true};
    struct asked asked = asked_nothing();
    asked.cells = 4;
    asked.lithium_iron_phosphate = true;
    asked.rated_ah = 100;
    struct message message;
    findings_free(&found);
    notices_free(&notices);
    CHECK(examine_series(&bench.series, &bench.rig, &asked, &found, &notices, &message) == STATUS_OK);
    rehearsed_close(&bench);
}

/* The k-th hold that ended so; NULL. */
static const struct hold *hold_of(enum hold_end end, size_t k)
{
    for (size_t h = 0; h < found.hold_count; h++)
        if (found.holds[h].end == end && k-- == 0)
            return &found.holds[h];
    return NULL;
}

#define OFF {.kind = SEGMENT_REST, .duration_s = 61.3}
#define WAKE {.kind = SEGMENT_CHARGE, .amount = 10.3, .charge_v = 14.4, .duration_s = 122.7}

/* Raised to 163, 187 and 214 A: the board acts after 4.2 s of each. */
TEST(raises_to_a_trip_give_current_and_time_of_each)
{
    static const double amps[3] = {163.4, 187.2, 214.6};
    struct load_segment program[16] = {OFF};
    size_t n = 1;
    for (int k = 0; k < 3; k++) {
        program[n++] = (struct load_segment){.kind = SEGMENT_CURRENT, .amount = 61.7, .duration_s = 91.1};
        program[n++] = (struct load_segment){.kind = SEGMENT_CURRENT, .amount = amps[k], .duration_s = 30.3};
        program[n++] = (struct load_segment)OFF;
        program[n++] = (struct load_segment)WAKE;
        program[n++] = (struct load_segment)OFF;
    }
    int held = 0, held_a = 0;
    enum { SEEDS = 6 };
    for (uint32_t seed = 1; seed <= SEEDS; seed++) {
        watch(program, n, 0.8, 150, 4.2, seed);
        CHECK(found.trip_count == 3);
        for (size_t k = 0; k < 3; k++) {
            const struct hold *hold = hold_of(HOLD_TRIPPED, k);
            CHECK(hold != NULL);
            if (hold == NULL)
                continue;
            CHECK(holds(&hold->a, amps[k]) && holds(&hold->held_s, 4.2));
            held += hold->held_s.lo <= 4.2 && 4.2 <= hold->held_s.hi;
            held_a += hold->a.lo <= amps[k] && amps[k] <= hold->a.hi;
            CHECK(found.trips[k].way == TRIP_OVER_CURRENT && !found.trips[k].charging);
            CHECK(strstr(hold->words, "over-current") != NULL);
            CHECK_NEAR(found.trips[k].at_s, bench.truth.events[2 * k].at_s, 1);
        }
        const struct hold *base = hold_of(HOLD_RAISED, 0);
        CHECK(base != NULL && holds(&base->a, 61.7) && holds(&base->held_s, 91.1));
        CHECK(found.low_stop_count == 0);
    }
    CHECK(held >= 0.9 * 3 * SEEDS && held_a >= 0.9 * 3 * SEEDS);
}

TEST(a_load_that_is_switched_off_trips_nothing)
{
    const struct load_segment program[] = {
        OFF,
        {.kind = SEGMENT_CURRENT, .amount = 118.3, .duration_s = 400},
        OFF,
        {.kind = SEGMENT_CURRENT, .amount = 61.7, .duration_s = 300},
        {.kind = SEGMENT_CURRENT, .amount = 139.2, .duration_s = 20},
        OFF,
    };
    watch(program, 6, 0.8, 150, 2, 9);
    CHECK(found.trip_count == 0 && found.low_stop_count == 0 && found.hold_count == 3);
    CHECK(hold_of(HOLD_TRIPPED, 0) == NULL && hold_of(HOLD_EMPTY, 0) == NULL);
    CHECK(holds(&found.holds[0].held_s, 400) && strstr(found.holds[0].words, "no trip") != NULL);
}

TEST(a_burst_is_a_hold_within_the_one_it_stands_on)
{
    const struct load_segment program[] = {
        OFF,
        {.kind = SEGMENT_CURRENT, .amount = 24.7, .duration_s = 1203},
        {.kind = SEGMENT_CURRENT, .amount = 98.3, .duration_s = 241},
        {.kind = SEGMENT_CURRENT, .amount = 24.7, .duration_s = 1403},
        OFF,
    };
    watch(program, 5, 0.8, 150, 2, 10);
    CHECK(found.hold_count == 2 && found.holds[0].bursts == 1 && found.holds[1].bursts == 0);
    CHECK(holds(&found.holds[0].a, 24.7) && holds(&found.holds[0].held_s, 1203 + 241 + 1403));
    CHECK(holds(&found.holds[1].a, 98.3) && holds(&found.holds[1].held_s, 241));
}

/* From full to empty, the pack dark for a while, then a charger. */
TEST(an_empty_pack_is_stopped_by_its_volts_and_woken_by_a_charger)
{
    const struct load_segment program[] = {
        {.kind = SEGMENT_CHARGE, .amount = 20.5, .charge_v = 14.4, .tail_a = 2, .duration_s = INFINITY},
        {.kind = SEGMENT_REST, .duration_s = 1807},
        {.kind = SEGMENT_CURRENT, .amount = 50.3, .duration_s = INFINITY},
        {.kind = SEGMENT_REST, .duration_s = 313.7},
        WAKE,
        OFF,
    };
    int held = 0;
    enum { SEEDS = 4 };
    for (uint32_t seed = 1; seed <= SEEDS; seed++) {
        watch(program, 6, 0.95, 150, 2, seed);
        const struct hold *hold = hold_of(HOLD_EMPTY, 0);
        CHECK(hold != NULL && holds(&hold->a, 50.3));
        CHECK(hold != NULL && strstr(hold->words, "held from full to cut-off") != NULL && strstr(hold->words, "no trip") != NULL);
        CHECK(found.trip_count == 1 && found.trips[0].way == TRIP_LOW && found.trips[0].stimulus[0] == '\0');
        CHECK(found.low_stop_count == 1);
        const struct low_stop *stop = &found.low_stops[0];
        CHECK(holds(&stop->end_v, bench.truth.end_v) && holds(&stop->load_a, 50.3));
        held += stop->end_v.lo <= bench.truth.end_v && bench.truth.end_v <= stop->end_v.hi;
        CHECK_NEAR(stop->end_cell_v, stop->end_v.value / 4, 1e-9);
        CHECK(stop->v_plus_ir > stop->end_v.value + 0.3 && stop->v_plus_ir < stop->end_v.value + 1.5);
        CHECK(!measure_known(&stop->recovery_v));
        CHECK_TEXT(stop->woke_by, "a charger");
        CHECK(holds(&stop->woke_after_s, 313.7));
        CHECK(strstr(stop->words, "no open-circuit voltage") != NULL);
    }
    CHECK(held >= SEEDS - 1);
}

TEST(a_load_that_gives_up_is_no_stop_of_the_board)
{
    const struct load_segment program[] = {
        OFF,
        {.kind = SEGMENT_CURRENT, .amount = 50.3, .duration_s = INFINITY, .give_up_v = 11.6, .give_up_s = 1},
        {.kind = SEGMENT_REST, .duration_s = 600},
    };
    watch(program, 3, 0.3, 150, 2, 11);
    CHECK(found.trip_count == 0 && found.low_stop_count == 0 && hold_of(HOLD_TRIPPED, 0) == NULL);
    const struct hold *hold = hold_of(HOLD_EMPTY, 0);
    CHECK(hold == NULL || strstr(hold->words, "to where the load gave up") != NULL);
}

/* One lump of 11.3 kJ/K that the room takes 7.5 W/K from: a constant of 25 min. Where it was on its way to at the end of
 * the hold, by the truth: T + τ dT/dt. */
TEST(a_case_comes_into_equilibrium_while_a_current_is_held)
{
    int held = 0;
    enum { SEEDS = 12 };
    for (uint32_t seed = 1; seed <= SEEDS; seed++) {
        const struct load_segment program[] = {
            OFF,
            {.kind = SEGMENT_CURRENT, .amount = 40.3, .duration_s = 4300 + 300 * (double)seed},
            OFF,
        };
        faster_cooling_w_per_k = 7.5;
        watch(program, 3, 1, 150, 2, seed);
        faster_cooling_w_per_k = NAN;
        CHECK(found.warming_count == 1);
        if (found.warming_count != 1)
            continue;
        const struct warming *w = &found.warmings[0];
        double end_s = bench.truth.segment_s[2], tau_s = bench.make.heat_j_per_k / bench.make.cooling_w_per_k;
        size_t cursor = 0;
        double before = truth_at(&bench.truth, end_s - 200, &cursor).degc, end = truth_at(&bench.truth, end_s - 1, &cursor).degc;
        double on_its_way_to = end + tau_s * (end - before) / 199;
        held += measure_known(&w->final_degc) && w->final_degc.lo <= on_its_way_to && on_its_way_to <= w->final_degc.hi;
        CHECK(w->lasted > 2 && fabs(w->to_degc - end) < 0.7);
        CHECK_REL(w->tau_s.value, tau_s, 0.35); /* the heat grows as the pack empties */
    }
    CHECK(held >= 0.9 * SEEDS);
}

TEST(readings_that_begin_or_end_under_the_load_say_so)
{
    const struct load_segment program[] = {{.kind = SEGMENT_CURRENT, .amount = 50.3, .duration_s = 900}};
    watch(program, 1, 0.8, 150, 2, 12);
    CHECK(found.hold_count == 1 && found.holds[0].end == HOLD_READINGS_END);
    CHECK(strstr(found.holds[0].words, "at least") != NULL);
}
