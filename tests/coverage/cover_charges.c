/* Coverage over drawn charges: constant current, then volts held while it dies away as two exponentials, then a rest that
 * settles as two others. Pack, charger, meter and every systematic error are drawn anew; what the log says is held against
 * what was drawn. Seeds are the trial numbers. */
#include "coverage.h"

#include "battery/examine.h"
#include "numeric/random.h"

enum { TRIALS = 1000, MOST = 6000, WANTED = 5 };

/* a·exp(-t/tau) + b·exp(-t/slow). */
struct fading {
    double a, tau_s, b, slow_s;
};

static double left(const struct fading *f, double s)
{
    return f->a * exp(-s / f->tau_s) + f->b * exp(-s / f->slow_s);
}

struct trial {
    double rated_ah, amps, top_v, settled_v, from_s, held_s, end_s, last_s;
    struct fading amps_left, volts_left;
    double gain_v, offset_v, gain_a, offset_a, noise_v, noise_a, period_s; /* as stated: bounds of the errors */
};

static double between(struct random *random, double lo, double hi)
{
    return lo + (hi - lo) * random_uniform(random);
}

static double scaled(struct random *random, double lo, double hi)
{
    return lo * pow(hi / lo, random_uniform(random));
}

static struct trial draw(struct random *r)
{
    struct trial t = {.rated_ah = scaled(r, 20, 300), .top_v = between(r, 14.2, 14.6), .from_s = between(r, 200, 900)};
    t.amps = t.rated_ah * between(r, 0.1, 0.5);
    double tau_s = between(r, 400, 2000), share = between(r, 0.4, 0.9), tail_a = t.rated_ah * between(r, 0.015, 0.06);
    t.amps_left = (struct fading){t.amps * share, tau_s, t.amps * (1 - share), tau_s * between(r, 2, 4)};
    t.held_s = t.from_s + between(r, 1200, 5400);
    t.end_s = t.held_s;
    while (left(&t.amps_left, t.end_s - t.held_s) > tail_a)
        t.end_s += 1;
    t.settled_v = between(r, 13.3, 13.55);
    t.volts_left = (struct fading){between(r, 0.1, 0.3), between(r, 60, 400), between(r, 0.1, 0.3), between(r, 900, 4000)};
    t.last_s = t.end_s + between(r, 2, 8) * t.volts_left.slow_s;
    t.gain_v = scaled(r, 2e-4, 1e-2), t.offset_v = scaled(r, 1e-3, 3e-2), t.noise_v = scaled(r, 2e-4, 5e-3);
    t.gain_a = scaled(r, 1e-3, 2e-2), t.offset_a = scaled(r, 1e-3, 1e-1), t.noise_a = scaled(r, 1e-5, 5e-4) * t.rated_ah;
    t.period_s = fmax(scaled(r, 1, 20), t.last_s / (MOST - 2));
    return t;
}

static double amps_at(const struct trial *t, double s)
{
    return s < t->from_s || s >= t->end_s ? 0 : s < t->held_s ? t->amps : left(&t->amps_left, s - t->held_s);
}

static double volts_at(const struct trial *t, double s)
{
    double part = (s - t->from_s) / (t->held_s - t->from_s);
    if (s < t->from_s)
        return 13.0;
    if (s < t->held_s)
        return fmin(t->top_v, 13.45 + 0.15 * part + (t->top_v - 13.6) * exp(12 * (part - 1)));
    return s < t->end_s ? t->top_v : t->settled_v + left(&t->volts_left, s - t->end_s);
}

static double charge_ah(const struct trial *t)
{
    const struct fading *f = &t->amps_left;
    double s = t->end_s - t->held_s, constant = t->amps * (t->held_s - t->from_s);
    return (constant + f->a * f->tau_s * (1 - exp(-s / f->tau_s)) + f->b * f->slow_s * (1 - exp(-s / f->slow_s))) / 3600;
}

static void read_meter(const struct trial *t, struct random *r, struct series *series)
{
    double gain_v = between(r, -t->gain_v, t->gain_v), offset_v = between(r, -t->offset_v, t->offset_v);
    double gain_a = between(r, -t->gain_a, t->gain_a), offset_a = between(r, -t->offset_a, t->offset_a);
    series->count = 0;
    for (double s = between(r, 0, t->period_s); s < t->last_s && series->count < MOST; s += t->period_s) {
        double v = volts_at(t, s) * (1 + gain_v) + offset_v + t->noise_v * random_normal(r);
        double a = -amps_at(t, s) * (1 + gain_a) + offset_a + t->noise_a * random_normal(r);
        series->t_s[series->count] = s;
        series->column[CHANNEL_VOLTAGE][series->count] = round(v * 1000) / 1000;
        series->column[CHANNEL_CURRENT][series->count++] = round(a * 1000) / 1000;
    }
    series->resolution[CHANNEL_VOLTAGE] = series->resolution[CHANNEL_CURRENT] = 0.001;
    series->oriented = true;
}

static struct rig rig_of(const struct trial *t)
{
    struct rig rig = {.name = "drawn", .identity = 5, .sense_leads = true, .skew_s = 0.1};
    rig.of[CHANNEL_VOLTAGE] = (struct accuracy){.gain = t->gain_v, .offset = t->offset_v, .resolution = 0.001, .stated = true};
    rig.of[CHANNEL_CURRENT] = (struct accuracy){.gain = t->gain_a, .offset = t->offset_a, .resolution = 0.001, .stated = true};
    return rig;
}

static void run_trial(uint32_t seed, struct series *series, struct coverage *coverage)
{
    struct random *random = random_new(seed);
    struct trial t = draw(random);
    read_meter(&t, random, series);
    struct rig rig = rig_of(&t);
    struct asked asked = asked_nothing();
    asked.rated_ah = t.rated_ah, asked.cells = 4, asked.lithium_iron_phosphate = true;
    struct findings f;
    struct notices notices = {0};
    struct message message;
    CHECK(examine_series(series, &rig, &asked, &f, &notices, &message) == STATUS_OK);
    CHECK(f.charging_count == 1);
    const struct charging *c = &f.chargings[0];
    coverage_add(&coverage[0], &f.runs[c->run].charge_ah, charge_ah(&t));
    coverage_add(&coverage[1], &c->constant_a, t.amps);
    coverage_add(&coverage[2], &c->tail_a, left(&t.amps_left, t.end_s - t.held_s));
    coverage_add(&coverage[3], &c->held_v, t.top_v);
    for (size_t k = 0; k < f.resting_count; k++)
        if (f.restings[k].after_charge)
            coverage_add(&coverage[4], &f.restings[k].settling.settled_v, t.settled_v);
    findings_free(&f);
    notices_free(&notices);
    random_free(random);
}

/* A tail read seldom is known within how far it fell, to either side although it only falls: held more often than said. */
TEST(drawn_charges)
{
    static struct coverage coverage[WANTED] = {
        {.name = "Ah accepted"}, {.name = "constant A"}, {.name = "tail A"}, {.name = "held V"}, {.name = "settled V"}};
    struct series series;
    CHECK(series_init(&series, MOST, 1u << CHANNEL_VOLTAGE | 1u << CHANNEL_CURRENT));
    for (uint32_t trial = 0; trial < TRIALS; trial++)
        run_trial(1 + trial, &series, coverage);
    for (int k = 0; k < WANTED; k++) {
        double held = coverage_held(&coverage[k]);
        printf("    %-22s held in %5.2f %% of %d, %d not told\n", coverage[k].name, held, coverage[k].trials, coverage[k].unknown);
        CHECK(held >= 93 && (held <= 97 || k == 2));
        CHECK(coverage[k].trials > (k == 4 ? TRIALS / 3 : TRIALS - 10));
    }
    series_free(&series);
}
