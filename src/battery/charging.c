#include "battery/charging.h"

#include "base/memory.h"
#include "battery/amounts.h"
#include "battery/fullness.h"
#include "battery/segment.h"
#include "numeric/budget.h"

static const double restart_s = 600;         /* a stop near the top that long is no saw-tooth any more (no source) */
static const double near_top = 0.97;         /* of the volts at which the charge was stopped */
static const double top_cell_v = 3.60;       /* a board that stops below that mean saw one group ahead of the others */
static const double late_s = 120, steeper = 3; /* of a late rise: its stretch, and against the one before */
static const double dense_s = 30;            /* between readings in which a saw-tooth of minutes would show */

const char *full_shown_name(enum full_shown full)
{
    static const char *const names[] = {"cannot tell", "not shown to be full", "shown to be full"};
    return names[full];
}

const char *balancing_name(enum balancing balancing)
{
    static const char *const names[] = {"cannot tell", "not seen", "saw-tooth of the current", "late rise of the volts"};
    return names[balancing];
}

static void add(struct measure *m, enum cause cause, double halfwidth, uint32_t source, const char *what, const char *remedy)
{
    measure_part(m, (struct part){cause, SHAPE_RECTANGULAR, halfwidth / sqrt(3), INFINITY, source, what, remedy});
}

/* The amps of a stretch: the meter's own error does not average out, noise does; of a tail it is that of the line to its
 * end. */
static struct measure amps_of(const struct charge_meters *m, const struct charge_stretch *s, bool tail, const char *none)
{
    if (!s->found)
        return measure_unknown("%s", none);
    const struct accuracy *own = &m->rig->of[CHANNEL_CURRENT];
    struct measure a = measure_of(s->a);
    double n = (double)(s->last - s->first + 1), digit = accuracy_digit(own, m->digit_a);
    add(&a, CAUSE_GAIN_CURRENT, s->a * own->gain, rig_source(m->rig, CHANNEL_CURRENT, ERROR_GAIN),
        "gain of the current channel", "a calibration of the ammeter");
    add(&a, CAUSE_GAIN_CURRENT, s->a * own->shunt_gain, rig_source(m->rig, CHANNEL_CURRENT, ERROR_SHUNT),
        "the shunt or current sensor", "a shunt of a better class");
    add(&a, CAUSE_OFFSET_CURRENT, accuracy_offset(own, m->digit_a), rig_source(m->rig, CHANNEL_CURRENT, ERROR_OFFSET),
        "offset of the current channel", "zero the ammeter with nothing connected");
    add(&a, CAUSE_RESOLUTION, digit / 2, 0, "digits of the amps", "a meter with one more digit");
    double scatter = isfinite(s->a_scatter) ? s->a_scatter : isfinite(m->noise_a) ? m->noise_a : 0;
    bool line = s->a_dof > 0;
    measure_part(&a, (struct part){CAUSE_NOISE, line ? SHAPE_T : SHAPE_NORMAL, tail ? scatter : scatter / sqrt(n),
                                   line ? s->a_dof : INFINITY, 0, tail ? "scatter of the last readings" : "noise of the amps", ""});
    add(&a, CAUSE_STEP_INSTANTS, s->unseen_a, 0, "when after the last reading the charge ended", "read more often");
    budget_close(&a);
    return a;
}

static struct measure held_volts(const struct charge_meters *m, double v, const char *none)
{
    if (isnan(v))
        return measure_unknown("%s", none);
    const struct accuracy *own = &m->rig->of[CHANNEL_VOLTAGE];
    struct measure held = measure_of(v);
    add(&held, CAUSE_GAIN_VOLTAGE, v * own->gain, rig_source(m->rig, CHANNEL_VOLTAGE, ERROR_GAIN), "gain of the voltage channel",
        "a calibration of the voltmeter");
    add(&held, CAUSE_OFFSET_VOLTAGE, accuracy_offset(own, m->digit_v), rig_source(m->rig, CHANNEL_VOLTAGE, ERROR_OFFSET),
        "offset of the voltage channel", "a calibration of the voltmeter");
    add(&held, CAUSE_RESOLUTION, accuracy_digit(own, m->digit_v) / 2, 0, "digits of the volts", "a meter with one more digit");
    measure_part(&held, (struct part){CAUSE_NOISE, SHAPE_NORMAL, isnan(m->noise_v) ? 0 : m->noise_v, INFINITY, 0,
                                      "noise of the volts", "a quieter meter"});
    budget_close(&held);
    return held;
}

static struct measure share_of(const struct measure *m, double of, const char *none)
{
    if (!measure_known(m))
        return *m;
    if (!(of > 0))
        return measure_unknown("%s", none);
    struct measure share = measure_scale(m, 1 / of);
    budget_close(&share);
    return share;
}

struct charging charging_of(const struct charge_readings *readings, const struct charge_meters *meters,
                            const struct asked *asked, const struct findings *findings, size_t run)
{
    const double *t = readings->t_s;
    const struct ending *ended = &findings->runs[run].ended;
    struct charge_parts parts;
    charge_parts_find(readings, &parts);
    struct charging c = {.run = run, .constant_from_s = NAN, .constant_to_s = NAN, .held_from_s = NAN, .held_to_s = NAN,
                         .highest_held_s = NAN, .every_s = NAN};
    if (readings->count > 1)
        c.every_s = (t[readings->count - 1] - t[0]) / (double)(readings->count - 1);
    if (parts.level.found)
        c.constant_from_s = t[parts.level.first], c.constant_to_s = t[parts.level.last];
    if (parts.held.found)
        c.held_from_s = t[parts.held.first], c.held_to_s = t[parts.held.last];
    if (parts.highest.found)
        c.highest_held_s = t[parts.highest.last] - t[parts.highest.first];
    c.constant_a = amps_of(meters, &parts.level, false, "the current was not constant for long");
    c.highest_a = amps_of(meters, &parts.highest, false, "no amps were read");
    c.tail_a = amps_of(meters, &parts.tail, true, "no amps were read at its end");
    c.held_v = held_volts(meters, parts.held_v, isnan(parts.top_v) ? "no volts were read"
                                                                  : "no volts were held while the current died away");
    c.end_v = ended->end_v;
    c.tail_it = share_of(&c.tail_a, asked->rated_ah, "the rated Ah are not stated");
    c.end_cell_v = share_of(&c.end_v, asked->cells, "the cells in series are not stated");
    fullness_judge(asked, &c);
    return c;
}

/* Charge runs that go on after a short stop near the top are of the charge before. */
static bool is_restart(const struct findings *f, const struct charging *before, const struct run *run)
{
    const struct run *last = &f->runs[before->run];
    for (size_t k = before->run + 1; &f->runs[k] < run; k++) {
        if (f->runs[k].kind == RUN_DISCHARGE)
            return false;
        if (f->runs[k].kind == RUN_CHARGE)
            last = &f->runs[k];
    }
    return run->start_s - last->end_s <= restart_s && measure_known(&before->end_v) && !before->below_knee &&
           run->end_v >= near_top * before->end_v.value && run->end_s - run->start_s < last->end_s - f->runs[before->run].start_s;
}

/* The volts rose ever steeper, and the board stopped the charge while the mean of the cells was not high. */
static bool rose_late(const struct trace *trace, const struct run *run, double *ret_rise_v)
{
    size_t late = run->last;
    double end_s = trace->t_s[run->last];
    while (late > run->first && trace->t_s[late] > end_s - late_s)
        late--;
    size_t before = late;
    while (before > run->first && trace->t_s[before] > end_s - 2 * late_s)
        before--;
    if (before == late || run->last - late < 3)
        return false;
    double rise = trace->v[run->last] - trace->v[late], lower = trace->v[late] - trace->v[before];
    *ret_rise_v = rise;
    return rise > 0 && rise / (end_s - trace->t_s[late]) > steeper * lower / (trace->t_s[late] - trace->t_s[before]);
}

static void judge_balancing(const struct basis *basis, const struct asked *asked, const struct findings *f, struct charging *c)
{
    const struct run *run = &f->runs[c->run];
    double cell_v = c->end_cell_v.value, rise_v;
    char *words = c->balancing_words;
    size_t size = sizeof c->balancing_words;
    if (c->restarts >= 2) {
        c->balancing = BALANCING_SAW_TOOTH;
        snprintf(words, size, "near the top the charge stopped and went on %d times: the board lets it in again once its highest "
                              "group has come down", c->restarts);
    } else if (basis->trace->v == NULL || !asked->lithium_iron_phosphate || isnan(cell_v)) {
        snprintf(words, size, "without volts, and without the cells that they are shared by, nothing shows it");
    } else if (c->below_knee) {
        snprintf(words, size, "the charge ended before the cells came to where a board balances");
    } else if (run->ended.by == ENDED_BMS && cell_v < top_cell_v && rose_late(basis->trace, run, &rise_v)) {
        c->balancing = BALANCING_LATE_RISE;
        snprintf(words, size, "the last %.2g V came within %.0f s, and the board stopped the charge at a mean of %.2f V a cell: one "
                              "group was ahead of the others; volts of each group would tell by how much", rise_v, late_s, cell_v);
    } else if (isnan(c->held_from_s) || c->held_to_s - c->held_from_s < late_s || c->every_s > dense_s) {
        snprintf(words, size, "it would show in some minutes at held volts, read every %.0f s or oftener; volts of each group would "
                              "tell at once", dense_s);
    } else {
        c->balancing = BALANCING_NOT_SEEN;
        snprintf(words, size, "the current died away without a break; what a board bleeds from one group does not show at the "
                              "terminals, volts of each group would tell");
    }
}

size_t charging_find(const struct basis *basis, const struct asked *asked, const struct findings *findings,
                     struct charging ret_charging[static CHARGINGS])
{
    const struct trace *trace = basis->trace;
    const struct series *series = basis->series;
    struct charge_meters meters = {basis->rig, series->resolution[CHANNEL_VOLTAGE], series->resolution[CHANNEL_CURRENT],
                                   basis->noise_v, basis->noise_a};
    double *no_volts = NULL;
    size_t count = 0;
    for (size_t r = 0; r < findings->run_count; r++) {
        const struct run *run = &findings->runs[r];
        if (run->kind != RUN_CHARGE)
            continue;
        if (count > 0 && is_restart(findings, &ret_charging[count - 1], run)) {
            ret_charging[count - 1].restarts++;
            continue;
        }
        if (run->end_s - run->start_s < PULSE_S)
            continue;
        if (count == CHARGINGS)
            break;
        size_t n = run->last - run->first + 1;
        if (trace->v == NULL && no_volts == NULL) {
            no_volts = memory_get(trace->count * sizeof *no_volts);
            for (size_t k = 0; k < trace->count; k++)
                no_volts[k] = NAN;
        }
        const double *v = trace->v != NULL ? trace->v : no_volts;
        struct charge_readings readings = {trace->t_s + run->first, v + run->first, trace->a + run->first, n, false};
        ret_charging[count++] = charging_of(&readings, &meters, asked, findings, r);
    }
    free(no_volts);
    for (size_t k = 0; k < count; k++)
        judge_balancing(basis, asked, findings, &ret_charging[k]);
    return count;
}
