/* Coverage of charge, energy, mean volts, capacity and resistance on logs of invented packs whose truth is
 * known. Every systematic error is drawn anew in each trial from the distribution that the rig states;
 * seeds are the trial numbers. */
#include "coverage.h"

#include "battery/examine.h"
#include "rehearsal/invented.h"
#include "rehearsal/run.h"

enum { WANTED = 5 };

struct regime {
    const char *name;
    struct instrument_make make;
    bool brief;          /* a step load of twenty minutes, read often; else a whole discharge */
    int gaps;            /* of the log's clock, each of GAP_LO_S to GAP_HI_S */
    bool wanted[WANTED]; /* Ah, Wh, mean volts, Ah to 10.8 V, ohms of the burst */
    struct truth truth;
    double burst_s; /* moment of the burst */
    double ohm;     /* of the burst, after ten seconds */
};

/* Ten seconds into the burst: volts of a twin that stays at the base less those of the run, over the step. */
static double twin_ohm(const struct regime *regime, const struct pack_make *make,
                       const struct load_segment *segments)
{
    static struct truth twin;
    struct load_segment steady[] = {segments[0], segments[1]};
    steady[1].duration_s += 60;
    struct program program = {steady, 2, 1, 1e5};
    struct pack pack;
    pack_init(&pack, make, 1);
    rehearse(&pack, &program, &twin);
    size_t cursor[2] = {0, 0};
    struct truth_point with = truth_at(&regime->truth, regime->burst_s + 10, &cursor[0]);
    struct truth_point without = truth_at(&twin, regime->burst_s + 10, &cursor[1]);
    return (without.v - with.v) / (with.a - without.a);
}

static void make_truth(struct regime *regime)
{
    static struct cell_ocv ocv;
    static struct pack_make make;
    invented_ocv(&ocv);
    make = invented_pack(&ocv, 4, 50.5);
    /* a constant current for the steps: R at a delay is defined for a current that stays */
    enum segment_kind kind = regime->brief ? SEGMENT_CURRENT : SEGMENT_POWER;
    double base = regime->brief ? 22.7 : 290, burst = regime->brief ? 63.1 : 780;
    const struct load_segment segments[] = {
        {.kind = SEGMENT_REST, .duration_s = regime->brief ? 153 : 953},
        {.kind = kind, .amount = base, .duration_s = regime->brief ? 307 : 2011},
        {.kind = kind, .amount = burst, .duration_s = 131},
        {.kind = kind, .amount = base, .duration_s = regime->brief ? 411 : INFINITY},
        {.kind = SEGMENT_REST, .duration_s = 217},
    };
    struct program program = {segments, 5, 1, 1e5};
    struct pack pack;
    pack_init(&pack, &make, 1);
    rehearse(&pack, &program, &regime->truth);
    regime->burst_s = regime->truth.segment_s[2];
    regime->ohm = twin_ohm(regime, &make, segments);
}

static double half_width(struct spread spread)
{
    return spread.u * sqrt(3);
}

/* The rig file that an honest tester would write for such a meter. */
static struct rig rig_of(const struct instrument_make *make)
{
    struct rig rig = {
        .name = "made", .identity = 5, .sense_leads = true, .ripple = 0, .tally_shares_meter = true};
    rig.of[CHANNEL_VOLTAGE] = (struct accuracy){.gain = half_width(make->v.gain),
                                                .offset = half_width(make->v.offset),
                                                .resolution = make->v.digit,
                                                .stated = true};
    rig.of[CHANNEL_CURRENT] = (struct accuracy){.gain = half_width(make->a.gain),
                                                .offset = half_width(make->a.offset),
                                                .resolution = make->a.digit,
                                                .stated = true};
    rig.clock = half_width(make->clock);
    rig.skew_s = half_width(make->amp_lag_s);
    return rig;
}

/* Borrows the columns of what was shown. */
static struct series series_of(const struct shown *shown, const struct instrument_make *make)
{
    struct series series = {.count = shown->count,
                            .capacity = shown->count,
                            .t_s = shown->t_s,
                            .start_utc_s = NAN,
                            .oriented = true};
    series.column[CHANNEL_VOLTAGE] = shown->v;
    series.column[CHANNEL_CURRENT] = shown->a;
    series.resolution[CHANNEL_VOLTAGE] = make->v.digit;
    series.resolution[CHANNEL_CURRENT] = make->a.digit;
    return series;
}

/* The step up into the burst, at ten seconds. */
static const struct measure *burst_ohm(const struct findings *findings)
{
    for (size_t k = 0; k < findings->step_count; k++) {
        const struct step *step = &findings->steps[k];
        if (step->to_a < 1.5 * step->from_a || step->from_a < 5)
            continue;
        for (int d = 0; d < step->resistances; d++)
            if (fabs(step->resistance[d].delay_s - 10) < 1.5)
                return &step->resistance[d].ohm;
    }
    return NULL;
}

/* A row each period, begun anywhere within one, so that steps fall anywhere between rows. */
static void glance_throughout(const struct instrument *instrument, const struct regime *regime,
                              struct random *random, struct shown *shown)
{
    static double instants_s[20000];
    const struct truth *truth = &regime->truth;
    double end_s = truth->intervals[truth->count].t_s, period = regime->make.period_s,
           begun = random_uniform(random);
    size_t count = 0;
    for (; (begun + (double)count + 0.5) * period < end_s && count < 20000; count++)
        instants_s[count] = fmax(0, (begun + (double)count) * period +
                                        regime->make.jitter_s * (random_uniform(random) - 0.5));
    instrument_glance(instrument, truth, instants_s, count, random, shown);
}

#define GAP_LO_S 10.0
#define GAP_HI_S 310.0

/* The log's clock stands still for a while and the rows of that time are lost; only bounds are known. */
static void cut_gaps(const struct regime *regime, struct random *random, struct series *series)
{
    for (int k = 0; k < regime->gaps; k++) {
        double at_s = regime->burst_s + 400 + 700 * (k + random_uniform(random)); /* by the log's own clock */
        double lost_s = GAP_LO_S + (GAP_HI_S - GAP_LO_S) * random_uniform(random);
        size_t before = 0, kept;
        while (series->t_s[before + 1] < at_s)
            before++;
        double resumed_s = series->t_s[before] + lost_s;
        for (kept = before + 1; series->t_s[kept] < resumed_s; kept++) {
        }
        /* from here on the log's clock is behind; the rows go on where the gap was assumed to end */
        double shift = series->t_s[kept] - series->t_s[before] - regime->make.period_s;
        double rest_s = series->t_s[kept] - resumed_s; /* until its first row after, by the period */
        size_t drop = kept - before - 1;
        for (size_t j = before + 1; j + drop < series->count; j++) {
            series->t_s[j] = series->t_s[j + drop] - shift;
            series->column[CHANNEL_VOLTAGE][j] = series->column[CHANNEL_VOLTAGE][j + drop];
            series->column[CHANNEL_CURRENT][j] = series->column[CHANNEL_CURRENT][j + drop];
        }
        series->count -= drop;
        series_gap(series, (struct gap){before + 1, regime->make.period_s, GAP_LO_S + rest_s,
                                        GAP_HI_S + rest_s, "made here"});
    }
}

static void run_trial(const struct regime *regime, const struct rig *rig, uint32_t seed,
                      struct coverage *coverage)
{
    static struct shown shown;
    struct random *random = random_new(seed);
    struct instrument instrument = instrument_draw(&regime->make, random);
    glance_throughout(&instrument, regime, random, &shown);
    struct series series = series_of(&shown, &regime->make);
    cut_gaps(regime, random, &series);
    random_free(random);
    struct asked asked = asked_nothing();
    asked.cut_offs = 1;
    asked.cut_off_v[0] = 10.8;
    struct findings findings;
    struct notices notices = {0};
    struct message message;
    CHECK(examine_series(&series, rig, &asked, &findings, &notices, &message) == STATUS_OK);
    const struct truth *truth = &regime->truth;
    struct measure none = measure_unknown("no such step");
    const struct measure *ohm = burst_ohm(&findings);
    coverage_add(&coverage[0], &findings.test_ah, truth->discharge_ah);
    coverage_add(&coverage[1], &findings.test_wh, truth->discharge_wh);
    coverage_add(&coverage[2], &findings.test_mean_v, truth->discharge_wh / truth->discharge_ah);
    coverage_add(&coverage[3], &findings.capacities[0].charge_ah, truth_below(truth, 10.8).charge_ah);
    coverage_add(&coverage[4], ohm != NULL ? ohm : &none, regime->ohm);
    findings_free(&findings);
    notices_free(&notices);
    free(series.gaps);
}

static void cover(struct regime *regime)
{
    static struct coverage coverage[WANTED];
    static const char *const names[WANTED] = {"Ah", "Wh", "mean V", "Ah to 10.8 V", "ohm at 10 s"};
    memset(coverage, 0, sizeof coverage);
    make_truth(regime);
    struct rig rig = rig_of(&regime->make);
    for (uint32_t trial = 0; trial < COVERAGE_TRIALS; trial++)
        run_trial(regime, &rig, 770000 + trial, coverage);
    for (int k = 0; k < WANTED; k++) {
        coverage[k].name = names[k];
        if (regime->wanted[k])
            coverage_check(&coverage[k], regime->name);
    }
    truth_free(&regime->truth);
}

static struct spread bound(double half)
{
    return invented_bound(half);
}

TEST(one_gain_dominates)
{
    struct regime regime = {
        .name = "gain",
        .make = {.v = {bound(0.005), bound(0.005), 0.002, 0.001},
                 .a = {bound(0.02), bound(0.02), 0.03, 0.01},
                 .clock = bound(50e-6),
                 .period_s = 10,
                 .jitter_s = 4},
        .wanted = {true, true, true, true, false},
    };
    cover(&regime);
}

TEST(noise_dominates)
{
    struct regime regime = {
        .name = "noise",
        .make = {.v = {bound(1e-4), bound(0.001), 0.06, 0.01},
                 .a = {bound(1e-4), bound(0.001), 1.5, 0.01},
                 .clock = bound(5e-6),
                 .period_s = 20,
                 .jitter_s = 2},
        .wanted = {true, true, true, false, false},
    };
    cover(&regime);
}

/* Few and far readings: when the load came on and went is all that is open. */
TEST(edges_dominate)
{
    struct regime regime = {
        .name = "edges",
        .brief = true,
        .make = {.v = {bound(1e-4), bound(0.001), 0.001, 0.001},
                 .a = {bound(1e-4), bound(0.001), 0.01, 0.01},
                 .clock = bound(5e-6),
                 .period_s = 30,
                 .jitter_s = 29},
        .wanted = {true, true, false, false, false},
    };
    cover(&regime);
}

TEST(resistance_by_gain_and_by_noise)
{
    struct regime gain = {
        .name = "gain, 2 Hz",
        .brief = true,
        .make = {.v = {bound(0.005), bound(0.005), 0.0005, 0.0001},
                 .a = {bound(0.02), bound(0.02), 0.01, 0.01},
                 .clock = bound(50e-6),
                 .period_s = 0.5,
                 .jitter_s = 0.1},
        .wanted = {false, false, false, false, true},
    };
    cover(&gain);
    struct regime noise = {
        .name = "noise, 2 Hz",
        .brief = true,
        .make = {.v = {bound(1e-4), bound(0.001), 0.015, 0.001},
                 .a = {bound(1e-4), bound(0.001), 0.1, 0.01},
                 .clock = bound(5e-6),
                 .period_s = 0.5,
                 .jitter_s = 0.1},
        .wanted = {false, false, false, false, true},
    };
    cover(&noise);
}

TEST(gaps_of_the_clock_dominate)
{
    struct regime regime = {
        .name = "gaps",
        .gaps = 3,
        .make = {.v = {bound(1e-4), bound(0.001), 0.001, 0.001},
                 .a = {bound(1e-4), bound(0.001), 0.01, 0.01},
                 .clock = bound(5e-6),
                 .period_s = 5},
        .wanted = {true, true, false, false, false},
    };
    cover(&regime);
}

/* A load that wanders at random (0.006 A in a second, as the root of time), read every five seconds but for
 * eight holes of one to six minutes; over most of them it wanders less than counts as a step. The truth is the path itself, every half second. */
static void run_wander(uint32_t seed, const struct rig *rig, struct coverage *coverage)
{
    enum { FINE = 8000, COARSE = 10, HOLES = 8 };
    struct random *random = random_new(seed);
    struct series series;
    CHECK(series_init(&series, FINE, 1u << CHANNEL_VOLTAGE | 1u << CHANNEL_CURRENT));
    series.oriented = true;
    static double a[FINE], v[FINE];
    double truth_c = 0, truth_j = 0;
    bool hidden[FINE] = {false};
    for (int k = 0; k < HOLES; k++) {
        int from = 200 + 950 * k, length = 120 + (int)(600 * random_uniform(random));
        for (int j = from; j < from + length; j++)
            hidden[j] = true;
    }
    a[0] = 25, v[0] = 12.9;
    for (int k = 0; k < FINE; k++) {
        if (k > 0) {
            a[k] = a[k - 1] + 0.006 * sqrt(0.5) * random_normal(random);
            v[k] = 13.3 - 1e-4 * k - 0.012 * a[k];
            truth_c += (a[k] + a[k - 1]) / 2 * 0.5;
            truth_j += (v[k] * a[k] + v[k - 1] * a[k - 1]) / 2 * 0.5;
        } else {
            v[0] = 13.3 - 0.012 * a[0];
        }
        if (hidden[k] || (k % COARSE != 0 && k != FINE - 1))
            continue;
        size_t n = series.count++;
        series.t_s[n] = 0.5 * k;
        series.column[CHANNEL_CURRENT][n] = a[k] + 0.0005 * random_normal(random);
        series.column[CHANNEL_VOLTAGE][n] = v[k] + 0.0005 * random_normal(random);
    }
    random_free(random);
    struct asked asked = asked_nothing();
    struct findings findings;
    struct notices notices = {0};
    struct message message;
    CHECK(examine_series(&series, rig, &asked, &findings, &notices, &message) == STATUS_OK);
    coverage_add(&coverage[0], &findings.test_ah, truth_c / 3600);
    coverage_add(&coverage[1], &findings.test_wh, truth_j / 3600);
    findings_free(&findings);
    notices_free(&notices);
    series_free(&series);
}

TEST(holes_under_a_wandering_load_dominate)
{
    static struct coverage coverage[2] = {{.name = "Ah"}, {.name = "Wh"}};
    struct rig rig = {.name = "made", .identity = 5, .sense_leads = true, .ripple = 0};
    for (uint32_t trial = 0; trial < COVERAGE_TRIALS; trial++)
        run_wander(880000 + trial, &rig, coverage);
    coverage_check(&coverage[0], "holes");
    coverage_check(&coverage[1], "holes");
}
