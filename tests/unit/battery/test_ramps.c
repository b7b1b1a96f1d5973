/* Rehearsed packs whose sensor is chilled and heated along ramps, with a probe that lags beside it, against the limits of
 * their boards. */
#include "battery/examine.h"
#include "battery/trips.h"
#include "numeric/random.h"
#include "rehearsed.h"

static struct rehearsed bench;
static struct findings found;
static struct notices notices;

enum { PARTS = 5 };
static const double cold_degc = 0.73, cold_back_degc = 5.12, hot_degc = 53.31, hot_back_degc = 47.24;

/* A charge during which what touches the sensor goes from `from_degc` on by `k_per_min`, and back by as much, twice. */
static void ramps(struct load_segment segments[static PARTS], double from_degc, double k_per_min, double seconds)
{
    segments[0] = (struct load_segment){.kind = SEGMENT_CHARGE, .amount = 10.3, .charge_v = 14.4, .duration_s = 300,
                                        .touches = true, .touch_degc = from_degc};
    for (int k = 1; k < PARTS; k++)
        segments[k] = (struct load_segment){.kind = SEGMENT_CHARGE, .amount = 10.3, .charge_v = 14.4, .duration_s = seconds,
                                            .touches = true,
                                            .touch_degc = from_degc + (k % 2 == 0 ? k_per_min * seconds / 60 : 0),
                                            .touch_k_per_s = (k % 2 == 0 ? -1 : 1) * k_per_min / 60};
}

static void take_temperatures(void)
{
    bench.series.column[CHANNEL_TEMPERATURE] = malloc((bench.shown.count + 1) * sizeof(double));
    for (size_t k = 0; k < bench.shown.count; k++)
        bench.series.column[CHANNEL_TEMPERATURE][k] = bench.shown.degc[k];
    bench.series.resolution[CHANNEL_TEMPERATURE] = 0.1;
    bench.rig.of[CHANNEL_TEMPERATURE] = (struct accuracy){.offset = 0.5, .stated = true};
    bench.rig.probe_tau_s = 9;
}

static void watch(const struct load_segment *segments, size_t count, const char *mark, double acts_after_s, uint32_t seed)
{
    struct random *random = random_new(seed);
    struct instrument_make meter = invented_bench_meter();
    meter.degc = (struct meter_channel_make){.offset = {0.5 / sqrt(3), SHAPE_RECTANGULAR}, .noise = 0.04, .digit = 0.1};
    meter.at_sensor = true;
    meter.probe_s = 9.3;
    invented_ocv(&bench.ocv);
    bench.make = invented_fine_pack(&bench.ocv, 4, 102.5);
    bench.make.bms.cold_degc = cold_degc, bench.make.bms.cold_release_degc = cold_back_degc;
    bench.make.bms.hot_degc = hot_degc, bench.make.bms.hot_release_degc = hot_back_degc;
    bench.make.sensor_touch = 1;
    bench.make.bms.temperature_s = acts_after_s;
    bench.program = (struct program){segments, count, 0.5, 2e5};
    pack_init(&bench.fresh, &bench.make, 0.3);
    struct pack pack = bench.fresh;
    rehearse(&pack, &bench.program, &bench.truth);
    struct instrument instrument = instrument_draw(&meter, random);
    instrument_read(&instrument, &bench.truth, random, &bench.shown);
    random_free(random);
    rehearsed_log(&bench, &meter);
    take_temperatures();
    series_mark(&bench.series, 290, mark, 0);
    struct asked asked = asked_nothing();
    asked.cells = 4;
    asked.lithium_iron_phosphate = true;
    struct message message;
    findings_free(&found);
    notices_free(&notices);
    CHECK(examine_series(&bench.series, &bench.rig, &asked, &found, &notices, &message) == STATUS_OK);
    rehearsed_close(&bench);
}

/* How many of the intervals hold what was true; all are known. */
struct score {
    int held, of;
};

static void count(struct score *score, const struct measure *m, double truth)
{
    bool in = m->lo <= truth && truth <= m->hi;
    CHECK(measure_known(m));
    score->held += in;
    score->of++;
}

static void judge(enum trip_way way, double threshold, double back, bool slow, struct score *score)
{
    CHECK(found.trip_count == 2 && bench.truth.events_count >= 4);
    for (size_t k = 0; k < found.trip_count && k < 2; k++) {
        const struct trip *t = &found.trips[k];
        const struct truth_event *stop = &bench.truth.events[2 * k], *again = &bench.truth.events[2 * k + 1];
        CHECK(t->way == way && t->charging);
        CHECK_NEAR(t->at_s, stop->at_s, 1.6);
        CHECK_NEAR(t->released_s, again->at_s, 1.6);
        count(score, &t->trip_degc, stop->sensor_degc);
        count(score, &t->release_degc, again->sensor_degc);
        count(score, &t->hysteresis_k, fabs(stop->sensor_degc - again->sensor_degc));
        if (slow) {
            count(score, &t->threshold_degc, threshold);
            count(score, &t->release_threshold_degc, back);
        } else {
            CHECK(!measure_known(&t->threshold_degc) && !measure_known(&t->release_threshold_degc));
            CHECK(strstr(t->words, "no threshold proper") != NULL);
        }
    }
}

static void hold_often_enough(const struct score *score)
{
    CHECK(score->held >= 0.92 * score->of);
}

enum { SEEDS = 40 };

TEST(slow_ramps_both_ways_tell_the_cold_threshold)
{
    struct score score = {0, 0}, pooled_score = {0, 0};
    for (uint32_t seed = 1; seed <= SEEDS; seed++) {
        struct load_segment segments[PARTS];
        ramps(segments, 9, -0.7, 1100);
        watch(segments, PARTS, "cell sensor chilled", 43, seed);
        judge(TRIP_COLD, cold_degc, cold_back_degc, true, &score);
        struct measure pooled = trips_pooled(found.trips, found.trip_count, true, TRIP_COLD, TRIP_THRESHOLD);
        count(&pooled_score, &pooled, cold_degc);
        CHECK_TEXT(found.trips[0].place, "cell sensor");
    }
    hold_often_enough(&score);
    hold_often_enough(&pooled_score);
}

TEST(slow_ramps_both_ways_tell_the_hot_threshold)
{
    struct score score = {0, 0};
    for (uint32_t seed = 1; seed <= SEEDS; seed++) {
        struct load_segment segments[PARTS];
        ramps(segments, 43, 0.8, 1100);
        watch(segments, PARTS, "cell sensor heated", seed % 2 == 0 ? 3 : 71, seed + 100);
        judge(TRIP_HOT, hot_degc, hot_back_degc, true, &score);
    }
    hold_often_enough(&score);
}

TEST(fast_ramps_tell_the_place_s_temperature_and_no_threshold)
{
    struct score score = {0, 0};
    for (uint32_t seed = 1; seed <= SEEDS; seed++) {
        struct load_segment segments[PARTS];
        ramps(segments, 12, -3.1, 330);
        watch(segments, PARTS, "sensor chilled", 3, seed + 200);
        judge(TRIP_COLD, cold_degc, cold_back_degc, false, &score);
    }
    hold_often_enough(&score);
}

/* Chilled, and the supply is switched off before the board acts; the pack comes to rest. */
TEST(a_supply_that_stops_for_itself_is_no_trip)
{
    const struct load_segment segments[] = {
        {.kind = SEGMENT_CHARGE, .amount = 10.3, .charge_v = 14.4, .duration_s = 300, .touches = true, .touch_degc = 20},
        {.kind = SEGMENT_CHARGE, .amount = 10.3, .charge_v = 14.4, .duration_s = 600, .touches = true, .touch_degc = 20,
         .touch_k_per_s = -1.7 / 60},
        {.kind = SEGMENT_REST, .duration_s = 600},
    };
    watch(segments, 3, "sensor chilled", 3, 77);
    CHECK(bench.truth.events_count == 0 && found.trip_count == 0);
    CHECK(found.hold_count == 1 && found.holds[0].end != HOLD_TRIPPED);
    CHECK(found.warming_count == 0); /* it was chilled */
}
