#include "base/memory.h"
#include "battery/beginning.h"
#include "battery/examine.h"
#include "numeric/random.h"
#include "rehearsed.h"

static struct rehearsed bench;

static const struct load_segment by_power[] = {
    {.kind = SEGMENT_REST, .duration_s = 300},
    {.kind = SEGMENT_POWER, .amount = 268, .idle_w = 13, .duration_s = INFINITY},
    {.kind = SEGMENT_REST, .duration_s = 120},
};

/* The log without its first `cut_s` seconds; with a tally that shows `tally_ah` then, NaN: none. */
static bool unseen(double cut_s, double period_s, double digit_v, double tally_ah, uint32_t seed)
{
    struct instrument_make meter = invented_meter();
    meter.period_s = period_s;
    meter.v.digit = digit_v;
    struct random *random = random_new(seed);
    rehearsed_run(&bench, by_power, 3, 1, &meter, random);
    random_free(random);
    struct shown *shown = &bench.shown;
    size_t drop = 0;
    while (shown->t_s[drop] < cut_s)
        drop++;
    double *columns[] = {shown->t_s, shown->v, shown->a};
    for (int c = 0; c < 3; c++)
        memmove(columns[c], columns[c] + drop, (shown->count - drop) * sizeof *columns[c]);
    shown->count -= drop;
    rehearsed_log(&bench, &meter);
    double *tally = memory_get(shown->count * sizeof *tally);
    for (size_t k = 0; k < shown->count; k++)
        tally[k] = tally_ah + 0.006 * (double)k;
    bench.series.column[CHANNEL_CHARGE_TALLY] = isnan(tally_ah) ? NULL : tally;
    struct asked asked = asked_nothing();
    struct findings findings;
    struct notices notices = {0};
    struct message message;
    CHECK(examine_series(&bench.series, &bench.rig, &asked, &findings, &notices, &message) == STATUS_OK);
    bool result = findings.beginning_unseen;
    CHECK(findings.has_test);
    bench.series.column[CHANNEL_CHARGE_TALLY] = NULL;
    free(tally);
    findings_free(&findings);
    notices_free(&notices);
    rehearsed_close(&bench);
    return result;
}

TEST(a_log_that_begins_at_rest_saw_the_start)
{
    CHECK(!unseen(0, 1, 0.01, NAN, 1));
    CHECK(!unseen(295, 1, 0.01, NAN, 2));
}

TEST(a_load_just_switched_on_shows)
{
    CHECK(!unseen(301, 1, 0.01, NAN, 3));
    CHECK(!unseen(303, 2, 0.001, NAN, 4));
    CHECK(!unseen(301, 30, 0.01, NAN, 5));
}

TEST(a_discharge_under_way_does_not)
{
    static const double cuts_s[] = {2200, 5000, 9000, 12000}; /* plateau, and on to the knee */
    for (int k = 0; k < 4; k++) {
        CHECK(unseen(cuts_s[k], 1, 0.01, NAN, 10 + (uint32_t)k));
        CHECK(unseen(cuts_s[k], 30, 0.001, NAN, 20 + (uint32_t)k));
        CHECK(unseen(cuts_s[k], 5, 0.1, NAN, 30 + (uint32_t)k));
    }
}

TEST(a_tally_near_zero_tells_as_well)
{
    CHECK(!unseen(5000, 1, 0.01, 0.004, 40));
    CHECK(unseen(5000, 1, 0.01, 31.2, 41));
}
