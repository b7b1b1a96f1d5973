#include "battery/tally.h"

#include "numeric/agreement.h"
#include "numeric/budget.h"

/* One walk along the tally. */
struct walk {
    const struct trace *trace;
    const double *tally; /* by row of the series */
    bool energy;
    double digit;
    int direction; /* of the tally while charge leaves */
    double total;
    int pieces, restarts;
    bool counting;       /* in this run already */
    double changed_s;    /* when it last changed */
    double since_change; /* what the integral gained since */
    double last;         /* last value seen; NaN */
    double gained;       /* by the integral since then */
};

static size_t row_of(const struct trace *trace, size_t k)
{
    return trace->row != NULL ? trace->row[k] : k;
}

/* Ah or Wh from reading k - 1 to k. */
static double gain(const struct walk *walk, size_t k)
{
    const struct trace *trace = walk->trace;
    double before = trace->a[k - 1], after = trace->a[k];
    if (walk->energy) {
        before *= trace->v[k - 1];
        after *= trace->v[k];
    }
    return (before + after) / 2 * (trace->t_s[k] - trace->t_s[k - 1]) / 3600;
}

static void take_increment(struct walk *walk, double value, double t_s)
{
    double change = (value - walk->last) * walk->direction, expected = walk->gained;
    double slack = 3 * walk->digit + fabs(expected);
    bool restarted = fabs(change - expected) > slack && fabs(value) <= slack;
    walk->pieces += restarted || !walk->counting;
    walk->counting = true;
    if (restarted) { /* at zero, somewhere within this interval */
        walk->total += fabs(value);
        walk->restarts++;
    } else {
        walk->total += change;
    }
    if (value != walk->last) {
        walk->changed_s = t_s;
        walk->since_change = 0;
    } else {
        walk->since_change += expected;
    }
}

/* The discharge of one run, from the reading before it to the one after. */
static void walk_run(struct walk *walk, const struct run *run)
{
    const struct trace *trace = walk->trace;
    size_t from = run->first > 0 ? run->first - 1 : 0;
    size_t to = run->last + 1 < trace->count ? run->last + 1 : run->last;
    walk->last = NAN;
    walk->gained = 0;
    walk->counting = false;
    for (size_t k = from; k <= to; k++) {
        double value = walk->tally[row_of(trace, k)];
        if (k > from)
            walk->gained += gain(walk, k);
        if (isnan(value))
            continue;
        if (!isnan(walk->last)) {
            /* the reading after may already belong to the next piece */
            bool foreign =
                k == run->last + 1 && fabs(value - walk->last) > 3 * walk->digit + fabs(walk->gained);
            if (!foreign)
                take_increment(walk, value, trace->t_s[k]);
        }
        walk->last = value;
        walk->gained = 0;
    }
}

/* Whether the tally goes up or down while charge leaves; 0 when it does not move. */
static int direction_of(const struct walk *walk, const struct delivery *delivery)
{
    long up = 0, down = 0;
    for (size_t r = delivery->first; r <= delivery->last; r++) {
        const struct run *run = &delivery->runs[r];
        if (run->kind != RUN_DISCHARGE)
            continue;
        double last = NAN;
        for (size_t k = run->first; k <= run->last; k++) {
            double value = walk->tally[row_of(walk->trace, k)];
            up += value > last;
            down += value < last;
            last = isnan(value) ? last : value;
        }
    }
    return up > down ? 1 : down > up ? -1 : 0;
}

/* What the tally shows once the test is over, NaN when nothing. */
static double value_after(const struct walk *walk, const struct series *series, size_t row)
{
    for (size_t k = row + 2; k < series->count; k++) /* the next reading may still be of the test */
        if (!isnan(walk->tally[k]))
            return walk->tally[k];
    return NAN;
}

static void add_bound(struct measure *measure, enum cause cause, double halfwidth, uint32_t source,
                      const char *what)
{
    measure_part(measure,
                 (struct part){cause, SHAPE_RECTANGULAR, halfwidth / sqrt(3), INFINITY, source, what, ""});
}

/* `cut_off`: the meter drops the digits it does not show, half a step of each piece on average. */
static struct measure tally_measure(const struct basis *basis, const struct walk *walk, enum channel channel,
                                    bool cut_off)
{
    const struct rig *rig = basis->rig;
    const struct accuracy *own = &rig->of[channel];
    double pieces = walk->pieces, missing = cut_off ? walk->digit / 2 * pieces : 0;
    struct measure tally = measure_of(walk->total + missing);
    add_bound(&tally, CAUSE_GAIN_OTHER, own->gain * walk->total, rig_source(rig, channel, ERROR_GAIN),
              "gain of the tally");
    add_bound(&tally, CAUSE_OFFSET_OTHER, own->offset, rig_source(rig, channel, ERROR_OFFSET),
              "offset of the tally");
    /* one rounding at the start and one at the end of every piece */
    measure_part(&tally, (struct part){CAUSE_RESOLUTION, pieces > 1 ? SHAPE_NORMAL : SHAPE_TRIANGULAR,
                                       walk->digit * sqrt(pieces / 6), INFINITY, 0, "digits of the tally",
                                       "a tally with one more digit"});
    budget_close(&tally);
    return tally;
}

/* The gains, offsets and clock of the one meter that both rest on. */
static bool is_shared(enum cause cause)
{
    return cause == CAUSE_GAIN_CURRENT || cause == CAUSE_GAIN_VOLTAGE || cause == CAUSE_GAIN_OTHER ||
           cause == CAUSE_OFFSET_CURRENT || cause == CAUSE_OFFSET_VOLTAGE || cause == CAUSE_CLOCK ||
           cause == CAUSE_LEADS;
}

static struct measure without_shared(const struct basis *basis, const struct measure *measure)
{
    struct measure own = measure_of(measure->value);
    for (int k = 0; k < measure->count; k++)
        if (!basis->rig->tally_shares_meter || !is_shared(measure->parts[k].cause))
            measure_part(&own, measure->parts[k]);
    return own;
}

static double e_n_of(const struct basis *basis, const struct measure *tally, const struct measure *integral)
{
    struct measure own_tally = without_shared(basis, tally), own_integral = without_shared(basis, integral);
    return agreement_of(&own_tally, &own_integral);
}

/* Rounded or cut off? The log does not say; a tally that agrees either way agrees. */
static void compare(const struct basis *basis, const struct walk *walk, enum channel channel,
                    struct tally_check *check, bool *ret_cut_off)
{
    struct measure cut = tally_measure(basis, walk, channel, true);
    check->tally = tally_measure(basis, walk, channel, false);
    check->e_n = e_n_of(basis, &check->tally, &check->integral);
    double e_n = e_n_of(basis, &cut, &check->integral);
    *ret_cut_off = fabs(check->e_n) > 1 && fabs(e_n) <= 1;
    if (*ret_cut_off) {
        check->tally = cut;
        check->e_n = e_n;
    }
    check->agrees = fabs(check->e_n) <= 1;
}

static void say(const struct walk *walk, bool cut_off, struct tally_check *check)
{
    const char *unit = walk->energy ? "Wh" : "Ah";
    double share = check->integral.value != 0 ? check->tally.value / check->integral.value - 1 : NAN;
    int used = snprintf(check->words, sizeof check->words,
                        "the meter's own tally gives %.4g %s, %.2f %% %s the integral: %s",
                        check->tally.value, unit, fabs(share) * 100, share < 0 ? "below" : "above",
                        cut_off         ? "they agree, the digits that it drops allowed for"
                        : check->agrees ? "they agree within what they do not share"
                                        : "more than rounding and sampling explain");
    const char *more = check->froze         ? "; it stood still when the meter went dark"
                       : check->reset       ? "; it started again after the test"
                       : walk->restarts > 0 ? "; it starts again with each loaded step"
                                            : "";
    if (used > 0 && (size_t)used < sizeof check->words)
        snprintf(check->words + used, sizeof check->words - (size_t)used, "%s", more);
}

static struct tally_check absent(const char *why)
{
    return (struct tally_check){.tally = measure_unknown("%s", why),
                                .integral = measure_unknown("%s", why),
                                .e_n = NAN,
                                .event_s = NAN};
}

struct tally_check tally_check(const struct delivery *delivery, bool energy)
{
    const struct basis *basis = delivery->basis;
    enum channel channel = energy ? CHANNEL_ENERGY_TALLY : CHANNEL_CHARGE_TALLY;
    struct walk walk = {.trace = basis->trace,
                        .tally = basis->series->column[channel],
                        .energy = energy,
                        .changed_s = NAN,
                        .digit = basis->series->resolution[channel]};
    if (walk.tally == NULL)
        return absent(energy ? "the log has no energy tally" : "the log has no charge tally");
    if (energy && basis->trace->v == NULL)
        return absent("the log has no voltage to set beside the tally");
    walk.direction = direction_of(&walk, delivery);
    if (walk.direction == 0)
        return absent("the tally does not move during the test");
    struct throughput discharges = {0};
    for (size_t k = delivery->first; k <= delivery->last; k++) {
        if (delivery->runs[k].kind != RUN_DISCHARGE)
            continue;
        walk_run(&walk, &delivery->runs[k]);
        throughput_add(&discharges, &delivery->throughs[k]);
    }
    struct tally_check check = {.present = true, .event_s = NAN};
    check.integral =
        energy ? throughput_energy_wh(basis, &discharges, 1) : throughput_charge_ah(basis, &discharges, 1);
    bool cut_off;
    compare(basis, &walk, channel, &check, &cut_off);
    const struct run *end = &delivery->runs[delivery->last];
    double after = value_after(&walk, basis->series, row_of(basis->trace, end->last));
    check.reset = !isnan(after) && fabs(after) <= 3 * walk.digit && fabs(walk.last) > 10 * walk.digit &&
                  end->ended.dark;
    check.froze = walk.since_change > 5 * walk.digit || (end->ended.dark && !check.reset && !isnan(after));
    check.event_s = check.reset || check.froze ? walk.changed_s : NAN;
    say(&walk, cut_off, &check);
    return check;
}
