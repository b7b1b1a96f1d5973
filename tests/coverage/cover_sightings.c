/* Coverage of charge and energy from a dozen lines typed by hand, with times and with the order alone.
 *
 * Each trial has a pack, a load of one of three laws, a meter and a person of its own, all invented: the
 * meter is drawn from what the rig states, the person looks at odd instants, rounds, hedges now and then,
 * and marks a step some seconds late. Errors are fractions of the truth, since packs differ in size.
 * Seeds are the trial numbers. */
#include "coverage.h"

#include "battery/examine.h"
#include "intake/readings.h"
#include "rehearsal/invented.h"
#include "rehearsal/run.h"

enum { LOOKS = 40 };

/* What is drawn for one trial. */
struct trial {
    struct random *random;
    struct truth truth;
    struct pack_make pack;
    struct load_segment segments[5];
    size_t count;
    bool burst, tally, tally_wh, minutes, order_only, clips;
    struct rig rig;
    struct instrument_make make;
    struct shown shown;
};

static double between(struct random *random, double lo, double hi)
{
    return lo + (hi - lo) * random_uniform(random);
}

static bool chance(struct random *random, double share)
{
    return random_uniform(random) < share;
}

static void draw_load(struct trial *trial, double capacity_ah)
{
    struct random *random = trial->random;
    double c_rate = between(random, 0.12, 0.45), amps = c_rate * capacity_ah, volts = 12.7;
    static const enum segment_kind kinds[] = {SEGMENT_POWER, SEGMENT_POWER, SEGMENT_CURRENT, SEGMENT_RESISTANCE};
    enum segment_kind kind = kinds[(int)between(random, 0, 4)];
    double high = between(random, 0.7, 1.2) * capacity_ah;
    double scale = kind == SEGMENT_POWER ? volts : 1;
    double base = kind == SEGMENT_RESISTANCE ? volts / amps : amps * scale;
    double burst = kind == SEGMENT_RESISTANCE ? volts / high : high * scale;
    double ripple = kind == SEGMENT_POWER ? between(random, 0, 0.3) : 0;
    double whole_s = 3600 / c_rate;
    trial->burst = chance(random, 0.5);
    struct load_segment *s = trial->segments;
    trial->count = 0;
    s[trial->count++] = (struct load_segment){.kind = SEGMENT_REST, .duration_s = between(random, 200, 900)};
    if (trial->burst) {
        s[trial->count++] = (struct load_segment){
            .kind = kind, .amount = base, .ripple = ripple, .duration_s = between(random, 0.25, 0.65) * whole_s};
        s[trial->count++] = (struct load_segment){
            .kind = kind, .amount = burst, .ripple = ripple, .duration_s = between(random, 60, 300)};
    }
    s[trial->count++] =
        (struct load_segment){.kind = kind, .amount = base, .ripple = ripple, .duration_s = INFINITY};
    s[trial->count++] = (struct load_segment){.kind = SEGMENT_REST, .duration_s = 900};
}

static void draw_pack(struct trial *trial)
{
    static struct cell_ocv ocv;
    static bool made;
    if (!made)
        invented_ocv(&ocv), made = true;
    double capacity_ah = 40 * pow(6, random_uniform(trial->random));
    trial->pack = invented_pack(&ocv, 4, capacity_ah);
    trial->pack.ambient_degc = between(trial->random, 10, 27);
    draw_load(trial, capacity_ah);
    struct pack pack;
    pack_init(&pack, &trial->pack, between(trial->random, 0.97, 1));
    struct program program = {trial->segments, trial->count, 4, 2e5};
    rehearse(&pack, &program, &trial->truth);
}

/* A meter with a shunt, and the rig file of somebody who has read its leaflet. */
static void draw_rig(struct trial *trial)
{
    trial->make = invented_meter();
    trial->make.v.gain = invented_bound(0.003);
    trial->make.v.offset = invented_bound(0.01);
    trial->make.a.gain = invented_bound(0.008);
    trial->make.a.offset = invented_bound(0.1);
    trial->make.tally_offset_a = (struct spread){0};
    trial->make.tally_ah_digit = 0.1;
    trial->make.tally_wh_digit = 1;
    trial->rig = rig_default();
    trial->rig.sense_leads = true;
    trial->rig.clock = 50e-6;
    trial->rig.ripple = trial->segments[1].ripple; /* stated */
    trial->rig.of[CHANNEL_VOLTAGE] = (struct accuracy){.gain = 0.003, .digits = 1, .stated = true};
    trial->rig.of[CHANNEL_CURRENT] = (struct accuracy){.gain = 0.008, .digits = 1, .stated = true};
    trial->rig.of[CHANNEL_POWER] = (struct accuracy){.gain = 0.011, .digits = 1, .stated = true};
    trial->rig.of[CHANNEL_CHARGE_TALLY] = (struct accuracy){.gain = 0.008, .stated = true};
    trial->rig.of[CHANNEL_ENERGY_TALLY] = (struct accuracy){.gain = 0.011, .stated = true};
}

/* One look of the person. */
struct look {
    double at_s;
    bool values, tally;
    const char *mark;
};

static void add_look(struct look *looks, size_t *count, double at_s, bool values, bool tally, const char *mark)
{
    if (*count < LOOKS)
        looks[(*count)++] = (struct look){at_s, values, tally, mark};
}

static int by_time(const void *a, const void *b)
{
    double x = ((const struct look *)a)->at_s, y = ((const struct look *)b)->at_s;
    return (x > y) - (x < y);
}

/* When the person looks: at rest, as the load comes on, now and then, around a burst, near the end. */
static size_t plan_looks(struct trial *trial, struct look *looks)
{
    struct random *random = trial->random;
    const double *segment_s = trial->truth.segment_s;
    double on_s = segment_s[1], end_s = trial->truth.end_s, often = trial->order_only ? 0.9 : 0.7;
    size_t count = 0;
    add_look(looks, &count, between(random, 0, 60), true, true, "rested overnight");
    add_look(looks, &count, on_s + between(random, 3, 45), true, chance(random, 0.3), "load on");
    int odd = (int)between(random, 4, 8);
    for (int k = 0; k < odd; k++) {
        double at_s = on_s + 60 + (end_s - on_s - 960) * (k + random_uniform(random)) / odd;
        bool beside = trial->burst && at_s > segment_s[2] - 60 && at_s < segment_s[3] + 60;
        if (!beside)
            add_look(looks, &count, at_s, true, chance(random, often), "");
    }
    if (trial->burst) {
        add_look(looks, &count, segment_s[2] - between(random, 4, 25), true, chance(random, 0.8), "");
        add_look(looks, &count, segment_s[2] + between(random, 4, 15), true, trial->order_only, "burst");
        add_look(looks, &count, segment_s[3] - between(random, 4, 25), true, chance(random, 0.8), "");
        add_look(looks, &count, segment_s[3] + between(random, 4, 15), true, trial->order_only, "burst off");
    }
    add_look(looks, &count, end_s - between(random, 200, 800), true, chance(random, 0.8), "");
    if (trial->order_only || chance(random, 0.85))
        add_look(looks, &count, end_s - between(random, 9, 60), true, trial->order_only || chance(random, 0.8), "");
    qsort(looks, count, sizeof *looks, by_time);
    while (looks[count - 1].at_s > end_s - 8) /* a burst may have ended it */
        count--;
    bool seen = chance(random, 0.85);
    add_look(looks, &count, end_s + (seen ? between(random, 3, 30) : between(random, 100, 800)), false, false,
             seen ? "cut-off, meter dark" : "meter dark");
    return count;
}

static void type_time(const struct trial *trial, double at_s, struct text *text)
{
    int s = (int)at_s;
    if (trial->order_only && !trial->clips)
        return;
    if (trial->minutes)
        text_addf(text, "%d min", s / 60);
    else
        text_addf(text, "%d:%02d:%02d", s / 3600, s / 60 % 60, s % 60);
}

static void type_values(const struct trial *trial, const struct look *look, size_t i, struct text *text)
{
    struct random *random = trial->random;
    const struct shown *shown = &trial->shown;
    text_addf(text, " %.2f V", shown->v[i]);
    if (chance(random, 0.12))
        text_addf(text, " ~%.0f A", shown->a[i]);
    else if (chance(random, 0.95))
        text_addf(text, " %.1f A", shown->a[i]);
    if (chance(random, 0.3))
        text_addf(text, " %.0f W", shown->v[i] * shown->a[i]);
    if (trial->tally && look->tally)
        text_addf(text, " %.1f Ah", shown->tally_ah[i]);
    if (trial->tally_wh && look->tally)
        text_addf(text, " %.0f Wh", shown->tally_wh[i]);
}

/* A new clip has a clock of its own, which begins with its first picture. */
static void type_lines(struct trial *trial, const struct look *looks, size_t count, struct text *text)
{
    text_add(text, "direction: discharge\ntimes: elapsed\n\n");
    double zero_s = 0;
    for (size_t k = 0; k < count; k++) {
        if (trial->clips && k > 0 && chance(trial->random, 0.35)) {
            text_addf(text, "clip: %zu\n", k);
            zero_s = looks[k].at_s;
        }
        type_time(trial, looks[k].at_s - zero_s, text);
        if (looks[k].values)
            type_values(trial, &looks[k], k, text);
        text_addf(text, "  %s\n", looks[k].mark);
    }
}

static void draw_trial(struct trial *trial, struct text *text)
{
    struct random *random = trial->random;
    draw_pack(trial);
    draw_rig(trial);
    trial->tally = trial->order_only || chance(random, 0.6);
    trial->tally_wh = trial->tally && chance(random, 0.5);
    trial->minutes = !trial->order_only && chance(random, 0.2);
    trial->clips = trial->order_only && chance(random, 0.4);
    struct look looks[LOOKS];
    size_t count = plan_looks(trial, looks);
    double instants_s[LOOKS];
    for (size_t k = 0; k < count; k++)
        instants_s[k] = looks[k].at_s;
    struct instrument meter = instrument_draw(&trial->make, random);
    instrument_glance(&meter, &trial->truth, instants_s, count, random, &trial->shown);
    type_lines(trial, looks, count, text);
}

enum { AH, WH, VOLTS, SECONDS, AH_TO, WH_TO, WANTED };
#define CUT_OFF_V 11.2

/* Errors as fractions of the truth. */
static void note(struct coverage *coverage, const struct measure *measure, double truth)
{
    struct measure share = *measure;
    share.value /= truth;
    share.lo /= truth;
    share.hi /= truth;
    coverage_add(coverage, &share, 1);
}

static void note_all(const struct trial *trial, const struct findings *findings, struct coverage *coverage)
{
    const struct truth *truth = &trial->truth;
    note(&coverage[AH], &findings->test_ah, truth->discharge_ah);
    note(&coverage[WH], &findings->test_wh, truth->discharge_wh);
    note(&coverage[VOLTS], &findings->test_mean_v, truth->discharge_wh / truth->discharge_ah);
    note(&coverage[SECONDS], &findings->test_duration_s, truth->end_s - truth->segment_s[1]);
    struct truth_passed passed = truth_below(truth, CUT_OFF_V); /* a burst's dip would count there */
    for (size_t k = 0; k < findings->capacity_count && !trial->burst; k++) {
        const struct capacity *capacity = &findings->capacities[k];
        if (capacity->reached && capacity->cut_off_v == CUT_OFF_V) {
            note(&coverage[AH_TO], &capacity->charge_ah, passed.charge_ah);
            note(&coverage[WH_TO], &capacity->energy_wh, passed.energy_wh);
        }
    }
}

static void run_trial(struct trial *trial, uint32_t seed, struct coverage *coverage)
{
    struct text text = TEXT_EMPTY;
    trial->random = random_new(seed);
    draw_trial(trial, &text);
    struct sightings sightings;
    struct findings findings;
    struct notices notices = {0};
    struct message message = {0};
    struct asked asked = asked_nothing();
    asked.cells = 4;
    asked.lithium_iron_phosphate = true;
    bool read = readings_read_text("trial", span_of(text_string(&text)), &sightings, &notices, &message) == STATUS_OK;
    CHECK(read);
    if (read) {
        bool examined = examine_sightings(&sightings, &trial->rig, &asked, &findings, &notices, &message) == STATUS_OK;
        CHECK(examined);
        if (examined) {
            note_all(trial, &findings, coverage);
            findings_free(&findings);
        }
        sightings_free(&sightings);
    }
    notices_free(&notices);
    text_free(&text);
    random_free(trial->random);
}

/* At least 93.5 % must be held; no more than a fiftieth not told: a burst that itself reached the cut-off, or
 * a last reading on the plateau, leaves what came after without a bound. */
static void cover(const char *regime, struct trial trial, uint32_t seed)
{
    static struct coverage coverage[WANTED];
    static const char *const names[WANTED] = {"Ah", "Wh", "mean V", "s", "Ah to 11.2 V", "Wh to 11.2 V"};
    memset(coverage, 0, sizeof coverage);
    for (uint32_t k = 0; k < COVERAGE_TRIALS; k++)
        run_trial(&trial, seed + k, coverage);
    for (int k = 0; k < WANTED; k++) {
        double held = coverage_held(&coverage[k]), width = coverage_width(&coverage[k]);
        printf("    %-10s %-12s held in %5.2f %% of %d, half-width %.2f %%, %.3f of the oracle's, %d not told\n", regime,
               names[k], held, coverage[k].trials, 100 * coverage[k].width / coverage[k].trials, width,
               coverage[k].unknown);
        CHECK(held >= 93.5);
        CHECK(width <= 1.25);
        CHECK(coverage[k].unknown <= COVERAGE_TRIALS / 50);
    }
    truth_free(&trial.truth);
    shown_free(&trial.shown);
}

TEST(a_dozen_hand_readings)
{
    cover("by hand", (struct trial){0}, 410000);
}

TEST(order_alone)
{
    cover("order only", (struct trial){.order_only = true}, 510000);
}
