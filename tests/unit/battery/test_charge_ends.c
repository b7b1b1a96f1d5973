/* Charges of rehearsed packs, read every 10 s by noisy meters of few digits, against the truth of each. */
#include "battery/examine.h"
#include "numeric/random.h"
#include "rehearsed.h"

static struct rehearsed bench;
static struct findings found;
static struct notices notices;

static const struct charging *charge(const struct load_segment *segments, size_t count, uint32_t seed)
{
    struct random *random = random_new(seed);
    struct instrument_make meter = invented_meter();
    meter.period_s = 10;
    meter.v.digit = 0.01;
    meter.a.digit = 0.1;
    rehearsed_run(&bench, segments, count, 0.7, &meter, random);
    rehearsed_log(&bench, &meter);
    random_free(random);
    struct asked asked = asked_nothing();
    asked.cells = 4;
    asked.lithium_iron_phosphate = true;
    asked.rated_ah = 102.5;
    struct message message;
    findings_free(&found);
    notices_free(&notices);
    CHECK(examine_series(&bench.series, &bench.rig, &asked, &found, &notices, &message) == STATUS_OK);
    rehearsed_close(&bench);
    CHECK(found.charging_count == 1);
    return found.charging_count > 0 ? found.chargings : NULL;
}

/* The last instant of the truth at which current went in. */
static struct truth_point last_in(void)
{
    size_t k = bench.truth.count, cursor = 0;
    while (k > 0 && !(bench.truth.intervals[k - 1].a < -0.05))
        k--;
    return truth_at(&bench.truth, bench.truth.intervals[k - 1].t_s, &cursor);
}

/* The meter's errors are drawn from a normal distribution: within three of them. */
static bool holds(const struct measure *m, double truth)
{
    bool yes = fabs(m->value - truth) <= 3 * m->u;
    if (!yes)
        printf("    %g in [%g, %g]: %s\n", truth, m->lo, m->hi, m->why);
    return yes;
}

enum { SEEDS = 3 };

TEST(a_charger_that_goes_to_its_tail_fills_it)
{
    const struct load_segment segments[] = {
        {.kind = SEGMENT_REST, .duration_s = 300},
        {.kind = SEGMENT_CHARGE, .amount = 20.5, .charge_v = 14.4, .tail_a = 2, .duration_s = INFINITY},
        {.kind = SEGMENT_REST, .duration_s = 1200},
    };
    for (uint32_t seed = 1; seed <= SEEDS; seed++) {
        const struct charging *c = charge(segments, 3, seed);
        struct truth_point last = last_in();
        CHECK(c->full == FULL_SHOWN && found.runs[c->run].ended.by == ENDED_CHARGER);
        CHECK(holds(&c->constant_a, 20.5) && holds(&c->held_v, 14.4) && holds(&c->end_v, 14.4));
        CHECK_NEAR(c->tail_a.value, -last.a, 0.25); /* ten seconds, and a digit of 0.1 A */
        CHECK_NEAR(found.runs[c->run].end_s, bench.truth.segment_s[2], 10);
        CHECK(found.resting_count == 2 && found.restings[1].after_charge);
    }
}

TEST(a_charger_that_stops_early_or_somebody_who_does_fill_nothing_that_is_shown)
{
    const struct load_segment early[] = {
        {.kind = SEGMENT_REST, .duration_s = 300},
        {.kind = SEGMENT_CHARGE, .amount = 20.5, .charge_v = 14.4, .tail_a = 11, .duration_s = INFINITY},
        {.kind = SEGMENT_REST, .duration_s = 600},
    };
    const struct load_segment pulled[] = {
        {.kind = SEGMENT_REST, .duration_s = 300},
        {.kind = SEGMENT_CHARGE, .amount = 20.5, .charge_v = 14.4, .tail_a = 2, .duration_s = 2407},
        {.kind = SEGMENT_REST, .duration_s = 600},
    };
    for (uint32_t seed = 1; seed <= SEEDS; seed++) {
        const struct charging *c = charge(early, 3, seed + 10);
        CHECK(c->full == FULL_NOT_SHOWN && !c->below_knee);
        c = charge(pulled, 3, seed + 20);
        CHECK(c->full == FULL_NOT_SHOWN && c->below_knee && !measure_known(&c->held_v));
        CHECK(found.runs[c->run].ended.by == ENDED_OPERATOR);
        CHECK_NEAR(c->highest_held_s, 2407, 21);
        CHECK(holds(&c->highest_a, 20.5));
    }
}

/* This supply gives up with the board: no reading of every 10 s shows its limit, and nobody else may be named. */
TEST(a_board_that_opens_for_a_cell_fills_nothing_that_is_shown)
{
    const struct load_segment segments[] = {
        {.kind = SEGMENT_REST, .duration_s = 300},
        {.kind = SEGMENT_CHARGE, .amount = 45, .charge_v = 15.4, .tail_a = 2, .duration_s = INFINITY},
        {.kind = SEGMENT_REST, .duration_s = 600},
    };
    for (uint32_t seed = 1; seed <= SEEDS; seed++) {
        const struct charging *c = charge(segments, 3, seed + 30);
        CHECK(c->full == FULL_NOT_SHOWN && !measure_known(&c->held_v) && !c->below_knee);
        enum ended_by by = found.runs[c->run].ended.by;
        CHECK(by == ENDED_BMS || by == ENDED_CANNOT_TELL);
        CHECK(bench.truth.events_count > 0 && bench.truth.events[0].state == BMS_CHARGE_STOPPED);
        CHECK(holds(&c->end_v, bench.truth.events[0].v));
    }
}

TEST(a_float_after_the_absorption_leaves_it_full)
{
    const struct load_segment segments[] = {
        {.kind = SEGMENT_REST, .duration_s = 300},
        {.kind = SEGMENT_CHARGE, .amount = 20.5, .charge_v = 14.4, .tail_a = 3, .duration_s = INFINITY},
        {.kind = SEGMENT_CHARGE, .amount = 20.5, .charge_v = 13.6, .duration_s = 3600},
        {.kind = SEGMENT_REST, .duration_s = 900},
        {.kind = SEGMENT_CURRENT, .amount = 30, .duration_s = 3000},
        {.kind = SEGMENT_REST, .duration_s = 100},
    };
    charge(segments, 6, 41);
    CHECK(found.chargings[0].full == FULL_SHOWN && found.full_before == 1);
}
