#include "battery/segment.h"

#include "base/memory.h"
#include "battery/cuts.h"
#include "battery/kinds.h"
#include "battery/mode.h"
#include "numeric/integrate.h"
#include "numeric/stats.h"

struct work {
    const struct trace *trace;
    struct envelope envelope;
    struct working working;
    double *threshold_a; /* of each run: what a step must exceed */
    struct findings *out;
    struct cut_piece *pieces; /* of each phase: which of its readings are steady */
    size_t phase_capacity, piece_capacity, step_capacity;
};

static double median_period(const struct trace *trace)
{
    enum { MOST = 1024 };
    double dt[MOST], scratch[MOST];
    size_t stride = trace->count / MOST + 1, count = 0;
    for (size_t k = 0; k + 1 < trace->count && count < MOST; k += stride)
        dt[count++] = trace->t_s[k + 1] - trace->t_s[k];
    return stats_median(dt, count, scratch);
}

/* Mean over time of what was read first…last; the plain one where no time passes. */
static double mean_over(const double *t_s, const double *y, size_t first, size_t last)
{
    double width = t_s[last] - t_s[first];
    return width > 0 ? integrate_linear(t_s + first, y + first, last - first + 1) / width : y[first];
}

/* In the middle of the interval before reading k; the ends of the log are edges themselves. */
static double edge_s(const struct trace *trace, size_t k)
{
    if (k == 0)
        return trace->t_s[0];
    return k < trace->count ? (trace->t_s[k - 1] + trace->t_s[k]) / 2 : trace->t_s[trace->count - 1];
}

static double peak_of(const struct work *work, size_t first, size_t last)
{
    const double *a = work->trace->a;
    double peak = 0;
    for (size_t k = first; k <= last; k++) {
        if (k % ENVELOPE_BLOCK == 0 && k + ENVELOPE_BLOCK <= last) { /* whole blocks by their bounds */
            size_t b = k / ENVELOPE_BLOCK;
            peak = fmax(peak, fmax(fabs(work->envelope.lo[b]), fabs(work->envelope.hi[b])));
            k += ENVELOPE_BLOCK - 1;
        } else {
            peak = fmax(peak, fabs(a[k]));
        }
    }
    return peak;
}

static void find_runs(struct work *work, const struct rest_band *band, struct notices *notices)
{
    struct stretch *stretches = NULL;
    size_t persist = 2, count;
    while ((count = kinds_find(work->trace, &work->envelope, band, persist, RUNS_MOST, &stretches)) == 0)
        persist *= 2;
    if (persist > 2)
        notices_add(
            notices, "sampling", 0,
            "The current switches so often that stretches of fewer than %zu readings were not told apart",
            persist);
    work->out->runs = memory_get(count * sizeof *work->out->runs);
    work->threshold_a = memory_get(count * sizeof *work->threshold_a);
    work->out->run_count = count;
    for (size_t k = 0; k < count; k++) {
        struct run *run = &work->out->runs[k];
        *run =
            (struct run){.kind = stretches[k].kind, .first = stretches[k].first, .last = stretches[k].last};
        run->start_s = edge_s(work->trace, run->first);
        run->end_s = edge_s(work->trace, run->last + 1);
        run->mean_a = fabs(mean_over(work->trace->t_s, work->trace->a, run->first, run->last));
        run->peak_a = peak_of(work, run->first, run->last);
        run->start_v = work->trace->v != NULL ? work->trace->v[run->first] : NAN;
        run->end_v = work->trace->v != NULL ? work->trace->v[run->last] : NAN;
    }
    free(stretches);
}

/* Digits show where the current is lively; they are small beside the working current. */
static double digit_of_current(const struct work *work)
{
    enum { BLOCKS = 256 };
    const struct envelope *envelope = &work->envelope;
    struct digit digit = {0, 0};
    size_t lively = 0, seen = 0;
    for (size_t b = 0; b < envelope->blocks; b++)
        lively += envelope->hi[b] > envelope->lo[b];
    for (size_t b = 0; b < envelope->blocks; b++) {
        size_t from = b * ENVELOPE_BLOCK, left = work->trace->count - from;
        if (envelope->hi[b] > envelope->lo[b] && seen++ % (lively / BLOCKS + 1) == 0)
            digit_look(work->trace->a + from, left < ENVELOPE_BLOCK + 1 ? left : ENVELOPE_BLOCK + 1, &digit);
    }
    double step = digit_found(&digit);
    return step <= 4 * STEP_SHARE * work->working.current_a ? step : 0;
}

/* Runs of a few readings show no noise of their own: they take that of the others under load. */
static void find_thresholds(struct work *work, const struct rest_band *band)
{
    enum { ENOUGH = 16, MOST = 512 };
    double sd[MOST], scratch[MOST];
    size_t known = 0, count = work->out->run_count;
    double digit = digit_of_current(work);
    for (size_t k = 0; k < count; k++) {
        struct run *run = &work->out->runs[k];
        struct noise noise = noise_between(work->trace->t_s, work->trace->a, run->first, run->last);
        work->threshold_a[k] = run->kind == RUN_REST ? band->noise_a : noise.sd;
        if (run->kind != RUN_REST && run->last - run->first + 1 < ENOUGH)
            work->threshold_a[k] = NAN;
        else if (run->kind != RUN_REST && known < MOST)
            sd[known++] = noise.sd;
    }
    double usual = known > 0 ? stats_median(sd, known, scratch) : band->noise_a;
    for (size_t k = 0; k < count; k++) {
        double noise = isnan(work->threshold_a[k]) ? usual : work->threshold_a[k];
        work->threshold_a[k] =
            fmax(fmax(STEP_NOISE * noise, 4 * digit), STEP_SHARE * work->working.current_a);
    }
}

static void add_phase(struct work *work, size_t r, struct cut_piece piece)
{
    const struct trace *trace = work->trace;
    size_t first = piece.first, last = piece.last;
    struct run *run = &work->out->runs[r];
    struct phase phase = {.kind = run->kind, .mode = MODE_REST, .run = r, .first = first, .last = last};
    phase.start_s = edge_s(trace, first);
    phase.end_s = edge_s(trace, last + 1);
    phase.mean_a = mean_over(trace->t_s, trace->a, first, last);
    phase.mean_v = phase.start_v = phase.end_v = NAN;
    if (trace->v != NULL) {
        phase.mean_v = mean_over(trace->t_s, trace->v, first, last);
        phase.start_v = trace->v[first];
        phase.end_v = trace->v[last];
    }
    if (run->kind != RUN_REST)
        phase.mode = mode_of(trace, first, last);
    work->pieces = memory_grow(work->pieces, work->out->phase_count, &work->piece_capacity);
    work->pieces[work->out->phase_count] = piece;
    work->out->phases = memory_grow(work->out->phases, work->out->phase_count, &work->phase_capacity);
    work->out->phases[work->out->phase_count++] = phase;
    run->phases++;
}

/* A charge splits where its volts begin to be held. */
static void add_phase_or_two(struct work *work, size_t r, struct cut_piece piece)
{
    size_t held;
    if (work->out->runs[r].kind == RUN_CHARGE &&
        mode_constant_voltage_from(work->trace, piece.steady_first, piece.steady_last, &held)) {
        add_phase_or_two(work, r,
                         (struct cut_piece){piece.first, held - 1, piece.steady_first, held - 1, false});
        piece.first = piece.steady_first = held; /* what came before may be absorption and bulk */
    }
    add_phase(work, r, piece);
}

static void add_phases_of(struct work *work, size_t r, struct notices *notices)
{
    struct run *run = &work->out->runs[r];
    run->first_phase = work->out->phase_count;
    struct cut_piece whole = {run->first, run->last, run->first, run->last, false}, *pieces = NULL;
    if (run->kind == RUN_REST) {
        add_phase(work, r, whole);
        return;
    }
    size_t room = work->out->phase_count < PHASES_MOST ? PHASES_MOST - work->out->phase_count : 0;
    size_t count =
        cuts_find(work->trace, &work->envelope, run->first, run->last, work->threshold_a[r], room, &pieces);
    if (count == 0)
        notices_add(notices, "sampling", 0,
                    "The current of the %s that begins at %.0f s steps so often that its "
                    "phases were not told apart",
                    run_kind_name(run->kind), run->start_s);
    if (count == 0)
        add_phase(work, r, whole);
    for (size_t k = 0; k < count; k++)
        add_phase_or_two(work, r, pieces[k]);
    free(pieces);
}

/* The current at a step, as the readings nearest to it have it. */
static void find_steps(struct work *work)
{
    const struct trace *trace = work->trace;
    for (size_t k = 1; k < work->out->phase_count; k++) {
        const struct phase *p = &work->out->phases[k - 1], *q = &work->out->phases[k];
        struct edge before, after;
        if (!cuts_step_between(trace, &work->pieces[k - 1], &work->pieces[k],
                               fmax(work->threshold_a[p->run], work->threshold_a[q->run]), &before, &after))
            continue;
        work->out->steps = memory_grow(work->out->steps, work->out->step_count, &work->step_capacity);
        work->out->steps[work->out->step_count++] = (struct step){
            .before = p->last,
            .after = q->first,
            .at_s = q->start_s,
            .at_halfwidth_s = (trace->t_s[q->first] - trace->t_s[p->last]) / 2,
            .from_a = before.level_a,
            .to_a = after.level_a,
        };
    }
}

static void find_pulses(struct work *work)
{
    double total = 0;
    for (size_t k = 0; k < work->out->phase_count; k++)
        total +=
            fabs(work->out->phases[k].mean_a) * (work->out->phases[k].end_s - work->out->phases[k].start_s);
    for (size_t k = 1; k + 1 < work->out->phase_count; k++) {
        const struct phase *p = &work->out->phases[k - 1], *q = &work->out->phases[k + 1];
        struct phase *pulse = &work->out->phases[k];
        double threshold = fmax(work->threshold_a[p->run], work->threshold_a[q->run]);
        struct edge before, after;
        bool bases_differ = cuts_step_between(work->trace, &work->pieces[k - 1], &work->pieces[k + 1],
                                              2 * threshold, &before, &after);
        double length = pulse->end_s - pulse->start_s;
        bool one_base = p->kind == q->kind && (p->kind == RUN_REST || !bases_differ);
        bool apart = fabs(pulse->mean_a - (before.level_a + after.level_a) / 2) > threshold;
        bool brief = length <= PULSE_S || fabs(pulse->mean_a) * length < PULSE_SHARE * total;
        pulse->pulse =
            one_base && apart && brief && length < p->end_s - p->start_s && length < q->end_s - q->start_s;
    }
}

/* Noise where it matters most: in the longest run under load. */
static void find_noise(struct work *work)
{
    const struct trace *trace = work->trace;
    size_t first = 0, last = trace->count - 1, most = 0;
    for (size_t k = 0; k < work->out->run_count; k++) {
        const struct run *run = &work->out->runs[k];
        if (run->kind != RUN_REST && run->last - run->first > most)
            first = run->first, last = run->last, most = last - first;
    }
    work->out->noise_a = noise_between(trace->t_s, trace->a, first, last).sd;
    work->out->noise_v = trace->v != NULL ? noise_between(trace->t_s, trace->v, first, last).sd : NAN;
}

bool segment(const struct trace *trace, const struct rig *rig, struct findings *ret_findings,
             struct notices *notices)
{
    struct work work = {.trace = trace, .out = ret_findings};
    if (!envelope_of(trace->a, trace->count, &work.envelope))
        return false;
    work.working = working_current(trace, &work.envelope);
    struct noise noise = noise_between(trace->t_s, trace->a, 0, trace->count - 1);
    struct rest_band band = rest_band_find(trace, &work.envelope, work.working,
                                           accuracy_offset(&rig->of[CHANNEL_CURRENT], noise.step));
    ret_findings->period_s = median_period(trace);
    find_runs(&work, &band, notices);
    find_thresholds(&work, &band);
    for (size_t r = 0; r < ret_findings->run_count; r++)
        add_phases_of(&work, r, notices);
    find_steps(&work);
    find_pulses(&work);
    find_noise(&work);
    free(work.threshold_a);
    free(work.pieces);
    envelope_free(&work.envelope);
    return true;
}
