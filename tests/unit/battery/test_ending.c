#include "battery/ending.h"
#include "battery/segment.h"
#include "numeric/random.h"
#include "rehearsed.h"

static struct rehearsed bench;
static struct findings found;
static struct notices notices;

/* Rehearses, reads and judges; the run that is asked about is the last discharge (or charge). */
static const struct run *judged(const struct load_segment *segments, size_t count, double soc,
                                const struct instrument_make *meter, enum run_kind kind, uint32_t seed)
{
    struct random *random = random_new(seed);
    rehearsed_run(&bench, segments, count, soc, meter, random);
    rehearsed_log(&bench, meter);
    random_free(random);
    struct asked asked = asked_nothing();
    asked.cells = 4;
    asked.lithium_iron_phosphate = true;
    findings_free(&found);
    CHECK(segment(&bench.trace, &bench.rig, &found, &notices));
    endings_find(&bench.series, &bench.trace, &bench.rig, &asked, &found);
    rehearsed_close(&bench);
    for (size_t k = found.run_count; k-- > 0;)
        if (found.runs[k].kind == kind)
            return &found.runs[k];
    CHECK(!"the run is there");
    return &found.runs[0];
}

static const struct load_segment to_the_end[] = {
    {.kind = SEGMENT_REST, .duration_s = 247},
    {.kind = SEGMENT_POWER, .amount = 288, .idle_w = 11, .duration_s = INFINITY},
    {.kind = SEGMENT_REST, .duration_s = 183},
};

TEST(a_bms_that_opens_leaves_the_meter_dark)
{
    static const double periods[] = {1, 10, 60};
    for (int k = 0; k < 3; k++) {
        struct instrument_make meter = invented_meter();
        meter.period_s = periods[k];
        const struct ending *ended = &judged(to_the_end, 3, 1, &meter, RUN_DISCHARGE, 50)->ended;
        CHECK(bench.truth.end == END_UNDER_VOLTAGE);
        CHECK(ended->by == ENDED_BMS && ended->dark);
        CHECK(strstr(ended->evidence, "showed nothing") != NULL);
        CHECK(isnan(ended->recovery_v));
        CHECK(ended->end_v.hi >= bench.truth.end_v && ended->end_v.lo <= bench.truth.end_v);
        CHECK_NEAR(ended->end_cell_v, bench.truth.end_v / 4, 0.15);
        CHECK_NEAR(ended->knee_minutes, 32, 3);
    }
}

TEST(rows_that_never_came_leave_the_end_open)
{
    size_t held = 0;
    for (uint32_t seed = 0; seed < 80; seed++) {
        struct instrument_make meter = invented_meter();
        meter.period_s = 10;
        meter.missing = 0.3;
        const struct measure *end_v = &judged(to_the_end, 3, 1, &meter, RUN_DISCHARGE, 500 + seed)->ended.end_v;
        held += end_v->lo <= bench.truth.end_v && bench.truth.end_v <= end_v->hi;
    }
    CHECK_NEAR((double)held, 76, 7); /* the end lies late in its interval here, which a rectangle does not expect */
}

/* A meter that averages half of its time catches a little of the stop now and then. */
TEST(a_reading_that_caught_some_of_the_collapse_is_not_the_end)
{
    for (uint32_t seed = 0; seed < 80; seed++) {
        struct instrument_make meter = invented_meter();
        meter.period_s = 2;
        meter.average_s = 1;
        meter.needs_v = 0;
        meter.jitter_s = 1.9;
        meter.v.digit = 0.001;
        meter.a.digit = 0.01;
        const struct measure *end_v = &judged(to_the_end, 3, 1, &meter, RUN_DISCHARGE, 600 + seed)->ended.end_v;
        CHECK_NEAR(end_v->value, bench.truth.end_v, 0.11); /* gain and offset, and what the volts went on by */
    }
}

TEST(a_meter_fed_otherwise_sees_the_collapse)
{
    struct instrument_make meter = invented_meter();
    meter.needs_v = 0;
    const struct ending *ended = &judged(to_the_end, 3, 1, &meter, RUN_DISCHARGE, 51)->ended;
    CHECK(ended->by == ENDED_BMS && strstr(ended->evidence, "collapsed") != NULL);
}

TEST(a_bms_that_opens_far_from_empty)
{
    const struct load_segment segments[] = {
        {.kind = SEGMENT_CURRENT, .amount = 20, .duration_s = 2000},
        {.kind = SEGMENT_CURRENT, .amount = 170, .duration_s = 60},
        {.kind = SEGMENT_REST, .duration_s = 300},
    };
    struct instrument_make meter = invented_meter();
    meter.period_s = 0.2;
    const struct ending *ended = &judged(segments, 3, 0.9, &meter, RUN_DISCHARGE, 52)->ended;
    CHECK(bench.truth.end == END_OVER_CURRENT);
    CHECK(ended->by == ENDED_BMS && strstr(ended->evidence, "not for an empty sample") != NULL);
}

TEST(leads_taken_off_look_like_a_bms_that_opens)
{
    const struct load_segment segments[] = {
        {.kind = SEGMENT_REST, .duration_s = 120},
        {.kind = SEGMENT_POWER, .amount = 251, .idle_w = 11, .duration_s = 4000},
        {.kind = SEGMENT_REST, .duration_s = 300},
    };
    struct instrument_make meter = invented_meter();
    struct random *random = random_new(57);
    rehearsed_run(&bench, segments, 3, 1, &meter, random);
    random_free(random);
    for (size_t k = 0; k < bench.shown.count; k++)
        if (bench.shown.t_s[k] > 4120.2)
            bench.shown.v[k] = bench.shown.a[k] = 0;
    rehearsed_log(&bench, &meter);
    struct asked asked = asked_nothing();
    asked.cells = 4;
    asked.lithium_iron_phosphate = true;
    asked.rated_ah = 100;
    findings_free(&found);
    CHECK(segment(&bench.trace, &bench.rig, &found, &notices));
    endings_find(&bench.series, &bench.trace, &bench.rig, &asked, &found);
    rehearsed_close(&bench);
    const struct ending *ended = &found.runs[1].ended;
    CHECK(ended->by == ENDED_CANNOT_TELL && ended->dark && !ended->low);
    CHECK(strstr(ended->evidence, "leads") != NULL);
}

TEST(a_load_that_gives_up_leaves_the_terminals_live)
{
    const struct load_segment segments[] = {
        {.kind = SEGMENT_REST, .duration_s = 120},
        {.kind = SEGMENT_POWER, .amount = 300, .give_up_v = 11.1, .give_up_s = 1, .duration_s = INFINITY},
        {.kind = SEGMENT_REST, .duration_s = 900},
    };
    struct instrument_make meter = invented_meter();
    const struct ending *ended = &judged(segments, 3, 1, &meter, RUN_DISCHARGE, 53)->ended;
    CHECK(bench.truth.end == END_LOAD);
    CHECK(ended->by == ENDED_LOAD && !ended->dark);
    CHECK(ended->recovery_v > 11.5 && ended->recovery_after_s > 100);
    CHECK(ended->end_v.lo <= bench.truth.end_v && bench.truth.end_v <= ended->end_v.hi);
}

/* So low that a BMS behind a voltmeter on the cells would look the same. */
TEST(a_rebound_near_the_floor_of_a_bms_is_not_decided)
{
    const struct load_segment segments[] = {
        {.kind = SEGMENT_POWER, .amount = 300, .give_up_v = 10.2, .give_up_s = 1, .duration_s = INFINITY},
        {.kind = SEGMENT_REST, .duration_s = 900},
    };
    struct instrument_make meter = invented_meter();
    const struct ending *ended = &judged(segments, 2, 0.6, &meter, RUN_DISCHARGE, 54)->ended;
    CHECK(bench.truth.end == END_LOAD);
    CHECK(ended->by == ENDED_CANNOT_TELL && strstr(ended->evidence, "would tell") != NULL);
}

TEST(somebody_switched_off)
{
    const struct load_segment segments[] = {
        {.kind = SEGMENT_REST, .duration_s = 120},
        {.kind = SEGMENT_POWER, .amount = 300, .duration_s = 5400},
        {.kind = SEGMENT_REST, .duration_s = 900},
    };
    struct instrument_make meter = invented_meter();
    const struct ending *ended = &judged(segments, 3, 1, &meter, RUN_DISCHARGE, 55)->ended;
    CHECK(ended->by == ENDED_OPERATOR && isnan(ended->knee_s));
    /* The log is cut off first: nothing then tells. */
    ended = &judged(segments, 2, 1, &meter, RUN_DISCHARGE, 55)->ended;
    CHECK(ended->by == ENDED_LOG && isnan(ended->recovery_v));
}

TEST(charges_and_what_wakes_a_dark_pack)
{
    const struct load_segment segments[] = {
        {.kind = SEGMENT_CURRENT, .amount = 31, .duration_s = INFINITY},
        {.kind = SEGMENT_REST, .duration_s = 120},
        {.kind = SEGMENT_CHARGE, .amount = 25, .charge_v = 14.0, .tail_a = 2.5, .duration_s = INFINITY},
        {.kind = SEGMENT_REST, .duration_s = 600},
    };
    struct instrument_make meter = invented_meter();
    CHECK(judged(segments, 4, 0.3, &meter, RUN_CHARGE, 56)->ended.by == ENDED_CHARGER);
    const struct ending *discharge = &judged(segments, 4, 0.3, &meter, RUN_DISCHARGE, 56)->ended;
    CHECK(discharge->by == ENDED_BMS && discharge->dark); /* the charge that follows does not hide it */
}

TEST(without_volts_nothing_can_be_told)
{
    double t_s[50], a[50];
    for (int k = 0; k < 50; k++)
        t_s[k] = k, a[k] = k > 9 && k < 40 ? 5 : 0;
    struct series series = {.count = 50, .t_s = t_s};
    struct trace trace = {.count = 50, .t_s = t_s, .a = a};
    struct rig rig = rig_default();
    struct asked asked = asked_nothing();
    findings_free(&found);
    CHECK(segment(&trace, &rig, &found, &notices));
    endings_find(&series, &trace, &rig, &asked, &found);
    CHECK(found.run_count == 3 && found.runs[1].ended.by == ENDED_CANNOT_TELL);
    CHECK(!measure_known(&found.runs[1].ended.end_v));
    findings_free(&found);
    rehearsed_free(&bench);
}
