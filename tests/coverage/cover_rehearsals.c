/* Coverage over whole rehearsals: in each trial the pack, the loads, the rig and every systematic error are
 * drawn anew; what the readings say is held against what truly happened. Seeds are the trial numbers. */
#include "coverage.h"

#include "battery/examine.h"
#include "rehearsal/invented.h"
#include "rehearsal/rehearsal.h"
#include "rehearsal/run.h"

enum { WANTED = 10, CELL_COUNTS = 3, OHMS = 5 };

struct trial {
    struct random *random;
    struct pack_make make;
    struct load_segment segments[5];
    struct instrument_make meter;
    struct rig rig;
    double ohm[OHMS]; /* of the burst's beginning after 10 and 30 s, and of its end after 1, 10 and 30 s */
    double cost_wh;   /* of the burst */
    double load_on_s;
};

static double between(struct random *random, double lo, double hi)
{
    return lo + (hi - lo) * random_uniform(random);
}

/* Evenly in its logarithm: as likely to be small as large. */
static double scaled(struct random *random, double lo, double hi)
{
    return lo * pow(hi / lo, random_uniform(random));
}

static void draw_pack(struct trial *t, const struct cell_ocv *ocv)
{
    static const int cells[CELL_COUNTS] = {4, 8, 16};
    struct random *r = t->random;
    double ah = scaled(r, 18, 310);
    struct pack_make make = invented_fine_pack(ocv, cells[(int)(CELL_COUNTS * random_uniform(r))], ah);
    double resist = between(r, 0.6, 1.9);
    make.ohmic_ohm *= resist, make.fast_ohm *= resist, make.slow_ohm *= resist;
    make.fast_s = between(r, 4, 12), make.slow_s = between(r, 120, 400);
    make.leads_ohm *= between(r, 0.3, 1.1) * fmin(1, 100 / ah);
    make.ambient_degc = between(r, 8, 33);
    make.bms.cell_under_v = between(r, 2.2, 2.8);
    make.bms.over_a = 3 * ah;
    invented_cells_differ(&make, r);
    t->make = make;
}

/* Rest, the base load, a burst half-way of two to five minutes, the base again until it ends by itself. */
static void draw_loads(struct trial *t)
{
    static const enum segment_kind kinds[] = {SEGMENT_POWER, SEGMENT_CURRENT};
    struct random *r = t->random;
    double ah = t->make.capacity_ah[0], volts = 3.25 * t->make.cells, base_a = ah * scaled(r, 0.18, 0.45);
    double burst_a = base_a * between(r, 1.8, 3), hours = ah / base_a;
    enum segment_kind kind = kinds[random_uniform(r) < 0.3];
    double unit = kind == SEGMENT_POWER ? volts : 1;
    struct load_segment base = {.kind = kind, .amount = base_a * unit}, burst = base;
    burst.amount = burst_a * unit;
    burst.duration_s = between(r, 120, 300);
    t->segments[0] = (struct load_segment){.kind = SEGMENT_REST, .duration_s = between(r, 300, 900)};
    t->segments[1] = base, t->segments[2] = burst, t->segments[3] = base;
    t->segments[1].duration_s = 3600 * hours * between(r, 0.35, 0.6);
    t->segments[3].duration_s = INFINITY;
    t->segments[4] = (struct load_segment){.kind = SEGMENT_REST, .duration_s = 300};
    t->load_on_s = t->segments[0].duration_s;
}

static void draw_meter(struct trial *t)
{
    struct random *r = t->random;
    double volts = 3.25 * t->make.cells, amps = t->make.capacity_ah[0];
    t->meter = (struct instrument_make){
        .v = {invented_bound(scaled(r, 5e-4, 1e-2)), invented_bound(volts * scaled(r, 1e-4, 2e-3)),
              volts * scaled(r, 2e-5, 5e-4), volts > 20 ? 0.01 : 0.001},
        .a = {invented_bound(scaled(r, 1e-3, 2e-2)), invented_bound(amps * scaled(r, 1e-4, 2e-3)),
              amps * scaled(r, 1e-4, 2e-3), random_uniform(r) < 0.5 ? 0.01 : 0.1},
        .clock = invented_bound(scaled(r, 5e-6, 2e-4)),
        .amp_lag_s = invented_bound(scaled(r, 0.01, 0.3)),
        .period_s = scaled(r, 0.5, 4),
        .jitter_s = 0.05,
        .missing = random_uniform(r) < 0.3 ? 0.01 : 0,
        .needs_v = random_uniform(r) < 0.5 ? 7 : 0, /* powered by the pack, or not */
    };
}

static double half_width(struct spread spread)
{
    return spread.u * sqrt(3);
}

/* The rig file that an honest tester would write for such a meter. */
static void write_rig(struct trial *t)
{
    const struct instrument_make *m = &t->meter;
    t->rig = (struct rig){.name = "made", .identity = 5, .sense_leads = true, .ripple = 0, .tally_shares_meter = true};
    t->rig.of[CHANNEL_VOLTAGE] = (struct accuracy){
        .gain = half_width(m->v.gain), .offset = half_width(m->v.offset), .resolution = m->v.digit, .stated = true};
    t->rig.of[CHANNEL_CURRENT] = (struct accuracy){
        .gain = half_width(m->a.gain), .offset = half_width(m->a.offset), .resolution = m->a.digit, .stated = true};
    t->rig.clock = half_width(m->clock);
    t->rig.skew_s = half_width(m->amp_lag_s);
}

/* A step at the end of a segment, and how long after it. */
static const struct {
    int segment; /* that the step ends */
    double delay_s;
} steps[OHMS] = {{1, 10}, {1, 30}, {2, 1}, {2, 10}, {2, 30}};

/* Beside a twin without the burst. */
static void find_cost(struct trial *t, const struct truth *truth)
{
    static struct truth twin;
    struct pack fresh;
    pack_init(&fresh, &t->make, 1);
    const struct program program = {t->segments, 5, 1, 1e6};
    t->cost_wh = rehearse_burst_cost(&fresh, &program, 2, rehearsal_recovery_s, truth, &twin).energy_wh;
}

/* Volts of a twin whose segment goes on, less those of the run, over the step, so long after it. */
static void find_ohms(struct trial *t, const struct truth *truth)
{
    static struct truth twin;
    for (int k = 0; k < OHMS; k++) {
        int count = steps[k].segment + 1;
        if (k == 0 || steps[k].segment != steps[k - 1].segment) {
            struct load_segment on[3];
            memcpy(on, t->segments, sizeof on);
            on[count - 1].duration_s += 60;
            struct pack pack;
            pack_init(&pack, &t->make, 1);
            rehearse(&pack, &(struct program){on, (size_t)count, 1, 1e6}, &twin);
        }
        size_t cursor[2] = {0, 0};
        double at_s = truth->segment_s[count] + steps[k].delay_s;
        struct truth_point with = truth_at(truth, at_s, &cursor[0]), without = truth_at(&twin, at_s, &cursor[1]);
        t->ohm[k] = (without.v - with.v) / (with.a - without.a);
    }
}

static struct series series_of(const struct shown *shown, const struct instrument_make *make)
{
    struct series series = {.count = shown->count, .capacity = shown->count, .t_s = shown->t_s,
                            .start_utc_s = NAN, .oriented = true};
    series.column[CHANNEL_VOLTAGE] = shown->v;
    series.column[CHANNEL_CURRENT] = shown->a;
    series.resolution[CHANNEL_VOLTAGE] = make->v.digit;
    series.resolution[CHANNEL_CURRENT] = make->a.digit;
    return series;
}

static struct measure burst_ohm(const struct findings *findings, bool ends, double delay_s)
{
    for (size_t k = 0; k < findings->step_count; k++) {
        const struct step *step = &findings->steps[k];
        double less_a = ends ? step->to_a : step->from_a, more_a = ends ? step->from_a : step->to_a;
        if (more_a < 1.5 * less_a || less_a < 0.1 * more_a)
            continue;
        for (int d = 0; d < step->resistances; d++)
            if (step->resistance[d].delay_s == delay_s)
                return step->resistance[d].ohm;
    }
    return measure_unknown("no such step");
}

static void hold(const struct trial *t, const struct truth *truth, const struct findings *f, struct coverage *coverage)
{
    coverage_add(&coverage[0], &f->test_ah, truth->discharge_ah);
    coverage_add(&coverage[1], &f->test_wh, truth->discharge_wh);
    coverage_add(&coverage[2], &f->test_mean_v, truth->discharge_wh / truth->discharge_ah);
    coverage_add(&coverage[3], &f->test_duration_s, truth->end_s - t->load_on_s);
    struct measure none = measure_unknown("no burst"), cost_wh = f->burst_count > 0 ? f->bursts[0].cost_wh : none;
    coverage_add(&coverage[9], &cost_wh, t->cost_wh);
    for (int k = 0; k < OHMS; k++) {
        struct measure ohm = burst_ohm(f, steps[k].segment == 2, steps[k].delay_s);
        coverage_add(&coverage[4 + k], &ohm, t->ohm[k]);
    }
}

static void run_trial(const struct cell_ocv *ocv, uint32_t seed, struct coverage *coverage)
{
    static struct truth truth;
    static struct shown shown;
    struct trial t = {.random = random_new(seed)};
    draw_pack(&t, ocv);
    draw_loads(&t);
    draw_meter(&t);
    write_rig(&t);
    struct pack pack;
    pack_init(&pack, &t.make, 1);
    rehearse(&pack, &(struct program){t.segments, 5, 1, 1e6}, &truth);
    find_ohms(&t, &truth);
    find_cost(&t, &truth);
    struct instrument instrument = instrument_draw(&t.meter, t.random);
    instrument_read(&instrument, &truth, t.random, &shown);
    struct series series = series_of(&shown, &t.meter);
    struct asked asked = asked_nothing();
    asked.cells = t.make.cells, asked.lithium_iron_phosphate = true;
    struct findings findings;
    struct notices notices = {0};
    struct message message;
    CHECK(examine_series(&series, &t.rig, &asked, &findings, &notices, &message) == STATUS_OK);
    hold(&t, &truth, &findings, coverage);
    findings_free(&findings);
    notices_free(&notices);
    random_free(t.random);
}

/* Most meters drawn read too seldom to tell a resistance after 1 s. */
TEST(whole_rehearsals)
{
    static struct coverage coverage[WANTED] = {
        {.name = "Ah"}, {.name = "Wh"}, {.name = "mean V"}, {.name = "cut-off s"}, {.name = "ohm 10 s into the burst"},
        {.name = "ohm 30 s into the burst"}, {.name = "ohm 1 s after it"}, {.name = "ohm 10 s after it"},
        {.name = "ohm 30 s after it"}, {.name = "Wh that it cost"}};
    static struct cell_ocv ocv;
    invented_ocv(&ocv);
    for (uint32_t trial = 0; trial < COVERAGE_TRIALS; trial++)
        run_trial(&ocv, 1 + trial, coverage);
    for (int k = 0; k < WANTED; k++)
        coverage_check_held(&coverage[k], "rehearsed", k == 6 ? 2 * COVERAGE_TRIALS / 3 : COVERAGE_TRIALS / 200);
}
