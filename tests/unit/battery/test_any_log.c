/* Whatever a log holds, the examination of its steps goes through, and a number comes with its
 * uncertainty or a reason why there is none. Run with the sanitizers by ./check. */
#include "battery/burst.h"
#include "battery/direction.h"
#include "battery/ending.h"
#include "battery/protections.h"
#include "battery/pulse_pair.h"
#include "battery/resistance.h"
#include "battery/segment.h"
#include "handmade.h"
#include "numeric/random.h"

static void sound(const struct measure *measure)
{
    if (measure_known(measure))
        CHECK(isfinite(measure->u) && measure->lo <= measure->value && measure->value <= measure->hi);
    else
        CHECK(measure->why[0] != '\0');
}

/* One of a few odd ways for a column to go. */
static double odd(struct random *random, int way, double last, double scale)
{
    switch (way) {
    case 0: return last;
    case 1: return scale * random_normal(random);
    case 2: return 0;
    case 3: return random_uniform(random) < 0.9 ? last : scale * floor(6 * random_uniform(random) - 2);
    case 4: return last + scale * (random_uniform(random) - 0.5);
    case 5: return last * (random_uniform(random) < 0.98 ? 1.02 : -0.3);
    default: return random_uniform(random) < 0.95 ? scale : 1e15 * random_normal(random);
    }
}

static void fill(struct handmade *made, struct random *random)
{
    size_t n = 2 + (size_t)(pow(random_uniform(random), 3) * 700);
    handmade_start(made, n);
    double t = 0, v = 13, a = 5;
    int way_t = (int)(4 * random_uniform(random)), way_v = 0, way_a = 0;
    for (size_t k = 0; k < n; k++) {
        if (k == 0 || random_uniform(random) < 0.03) {
            way_v = (int)(7 * random_uniform(random));
            way_a = (int)(7 * random_uniform(random));
        }
        handmade_reading(made, t, v, a);
        t += way_t == 0   ? 1
             : way_t == 1 ? 0
             : way_t == 2 ? 600 * pow(random_uniform(random), 9)
                          : floor(2 * random_uniform(random));
        v = odd(random, way_v, v, 13);
        a = odd(random, way_a, a, 20);
        if (random_uniform(random) < 0.01)
            v = NAN;
    }
    made->rig = rig_default();
    if (random_uniform(random) < 0.5) { /* a temperature, and words at any moment */
        static const char *const words[] = {"sensor chilled", "heated", "load on", "", "the board opened"};
        double *degc = made->series.column[CHANNEL_TEMPERATURE] = calloc(n, sizeof *degc), last = 20;
        int way = (int)(7 * random_uniform(random));
        for (size_t k = 0; k < n; k++)
            degc[k] = random_uniform(random) < 0.02 ? NAN : (last = odd(random, way, last, 25));
        for (int k = 0; k < 3; k++)
            series_mark(&made->series, t * (k + random_uniform(random)) / 3, words[(int)(5 * random_uniform(random))], 0);
    }
    if (random_uniform(random) < 0.2) {
        made->series.resolution[CHANNEL_VOLTAGE] = 0.01;
        made->rig.averaging_s = 3;
    }
}

static void sound_protections(const struct findings *f)
{
    for (size_t k = 0; k < f->trip_count; k++) {
        const struct trip *t = &f->trips[k];
        const struct measure *const all[] = {&t->delay_s,        &t->trip_degc,    &t->release_degc,
                                             &t->hysteresis_k,   &t->threshold_degc, &t->release_threshold_degc};
        for (size_t m = 0; m < sizeof all / sizeof *all; m++)
            sound(all[m]);
        CHECK(t->words[0] != '\0' && t->run < f->run_count);
    }
    for (size_t k = 0; k < f->hold_count; k++) {
        sound(&f->holds[k].a);
        sound(&f->holds[k].held_s);
        CHECK(f->holds[k].words[0] != '\0' && (k == 0 || f->holds[k].from_s >= f->holds[k - 1].from_s));
    }
    for (size_t k = 0; k < f->low_stop_count; k++) {
        sound(&f->low_stops[k].load_a);
        sound(&f->low_stops[k].recovery_v);
        sound(&f->low_stops[k].woke_after_s);
        CHECK(f->low_stops[k].words[0] != '\0');
    }
    for (size_t k = 0; k < f->warming_count; k++) {
        sound(&f->warmings[k].final_degc);
        sound(&f->warmings[k].tau_s);
        CHECK(f->warmings[k].hold < f->hold_count && f->warmings[k].words[0] != '\0');
    }
}

static void examine(struct handmade *made)
{
    struct findings findings = {0};
    struct notices notices = {0};
    struct asked asked = asked_nothing();
    CHECK(trace_of_series(&made->series, &made->trace));
    if (made->trace.count >= 2) {
        struct direction direction = direction_find(&made->trace);
        CHECK(direction.sign != 0 ? direction.weight >= 0.5 : direction.why[0] != '\0');
        CHECK(segment(&made->trace, &made->rig, &findings, &notices));
        endings_find(&made->series, &made->trace, &made->rig, &asked, &findings);
        resistance_find(&made->series, &made->trace, &made->rig, &findings);
        findings.test_wh = measure_of(100);
        bursts_find(&made->series, &made->trace, &made->rig, &findings, &notices);
        pulse_pairs_find(&made->series, &made->trace, &made->rig, &asked, &findings);
        protections_of_series(&made->series, &made->rig, &asked, &findings);
        sound_protections(&findings);
    }
    for (size_t k = 0; k < findings.run_count; k++) {
        CHECK(findings.runs[k].start_s <= findings.runs[k].end_s);
        CHECK(findings.runs[k].ended.evidence[0] != '\0');
        sound(&findings.runs[k].ended.end_v);
    }
    for (size_t k = 0; k < findings.step_count; k++)
        for (int r = 0; r < findings.steps[k].resistances; r++)
            sound(&findings.steps[k].resistance[r].ohm);
    for (size_t k = 0; k < findings.burst_count; k++) {
        sound(&findings.bursts[k].cost_wh);
        sound(&findings.bursts[k].cost_share);
        sound(&findings.bursts[k].peak_a);
        CHECK(findings.bursts[k].charge_bound[0] != '\0');
    }
    for (size_t k = 0; k < findings.pair_count; k++)
        sound(&findings.pairs[k].ohm);
    findings_free(&findings);
    notices_free(&notices);
}

TEST(odd_logs)
{
    struct random *random = random_new(80);
    for (int k = 0; k < 3000; k++) {
        struct handmade made;
        fill(&made, random);
        examine(&made);
        trace_free(&made.trace);
        series_free(&made.series);
    }
    random_free(random);
}
