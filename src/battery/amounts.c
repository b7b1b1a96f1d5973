#include "battery/amounts.h"

static double volts_at(const struct trace *trace, size_t k)
{
    return trace->v != NULL ? trace->v[k] : 0;
}

static double watts_at(const struct trace *trace, size_t k)
{
    return volts_at(trace, k) * trace->a[k];
}

void widths_add(struct widths *widths, double halfwidth)
{
    double left = fabs(halfwidth);
    for (int k = 0; k < 2; k++) {
        if (left > widths->widest[k]) {
            double smaller = widths->widest[k];
            widths->widest[k] = left;
            left = smaller;
        }
    }
    widths->rest_u2 += left * left / 3;
}

void widths_join(struct widths *widths, const struct widths *more)
{
    widths_add(widths, more->widest[0]);
    widths_add(widths, more->widest[1]);
    widths->rest_u2 += more->rest_u2;
}

static void openness_add(struct openness *open, double amps, double watts, double half_s)
{
    widths_add(&open->c, amps * half_s);
    widths_add(&open->j, watts * half_s);
    open->cj_u2 += amps * watts * half_s * half_s / 3;
}

/* The same where the stretch as a whole becomes longer or shorter with it. */
static void openness_add_end(struct openness *open, double amps, double watts, double half_s)
{
    openness_add(open, amps, watts, half_s);
    widths_add(&open->s, half_s);
    open->cs_u2 += amps * half_s * half_s / 3;
    open->js_u2 += watts * half_s * half_s / 3;
}

static void openness_join(struct openness *open, const struct openness *more)
{
    widths_join(&open->c, &more->c);
    widths_join(&open->j, &more->j);
    widths_join(&open->s, &more->s);
    open->cj_u2 += more->cj_u2;
    open->cs_u2 += more->cs_u2;
    open->js_u2 += more->js_u2;
}

static size_t first_step_from(const struct basis *basis, size_t reading)
{
    size_t lo = 0, hi = basis->step_count;
    while (lo < hi) {
        size_t middle = lo + (hi - lo) / 2;
        if (basis->steps[middle].before < reading)
            lo = middle + 1;
        else
            hi = middle;
    }
    return lo;
}

/* Reading k stands from or up to an edge `seconds` away. The step there says how well its instant is known;
 * without one it lies anywhere within twice that. */
static void hold_to_edge(const struct basis *basis, size_t k, double seconds, bool at_start,
                         struct throughput *through)
{
    const struct trace *trace = basis->trace;
    size_t before = at_start ? k - 1 : k,
           step = k > 0 || !at_start ? first_step_from(basis, before) : SIZE_MAX;
    double half = seconds;
    if (step < basis->step_count && basis->steps[step].before == before)
        half = basis->steps[step].at_halfwidth_s;
    sums_hold(&through->sums, trace, k, seconds);
    openness_add_end(&through->steps, trace->a[k], watts_at(trace, k), half);
}

/* Volts and amps jump together: over the interval of a step the mean power is that of its two ends, and
 * not that of two straight lines. */
static void jump(const struct trace *trace, const struct step *step, struct sums *sums)
{
    for (size_t k = step->before; k < step->after; k++) {
        double h = trace->t_s[k + 1] - trace->t_s[k], da = trace->a[k + 1] - trace->a[k];
        sums->energy_j += h * da * (volts_at(trace, k + 1) - volts_at(trace, k)) / 6;
        sums->square_a2s += h * da * da / 6;
        sums->width3_s3 -= h * h * h; /* what the step leaves open is counted as that */
    }
}

/* The steps within the stretch; the corners beside them are theirs, not noise. */
static void take_steps(const struct basis *basis, size_t first, size_t last, struct throughput *through)
{
    const struct trace *trace = basis->trace;
    size_t unbent = first; /* neighbouring steps share a corner */
    for (size_t k = first_step_from(basis, first); k < basis->step_count && basis->steps[k].after <= last;
         k++) {
        const struct step *step = &basis->steps[k];
        openness_add(&through->steps, trace->a[step->after] - trace->a[step->before],
                     watts_at(trace, step->after) - watts_at(trace, step->before), step->at_halfwidth_s);
        jump(trace, step, &through->sums);
        for (size_t at = step->before; at <= step->after; at++) {
            if (at > unbent && at < last) {
                sums_unbend(&through->sums, trace, at);
                unbent = at;
            }
        }
    }
}

static size_t trace_index(const struct trace *trace, size_t row)
{
    if (trace->row == NULL)
        return row;
    size_t lo = 0, hi = trace->count;
    while (lo < hi) {
        size_t middle = lo + (hi - lo) / 2;
        if (trace->row[middle] < row)
            lo = middle + 1;
        else
            hi = middle;
    }
    return lo;
}

static void take_gap(struct throughput *through, double amps, double watts, double shift_s, double half_s)
{
    through->shift_c += amps * shift_s;
    through->shift_j += watts * shift_s;
    through->shift_s += shift_s;
    openness_add_end(&through->gaps, amps, watts, half_s);
}

/* A gap within moves the middle of the amount to the middle of what the gap can have been. A gap at an
 * edge can have had its current on for all of it; when nothing bounds it, what went on between the two
 * clocks was not logged and does not count. */
static void take_gaps(const struct basis *basis, size_t first, size_t last, struct throughput *through)
{
    const struct trace *trace = basis->trace;
    for (size_t k = 0; k < basis->series->gap_count; k++) {
        const struct gap *gap = &basis->series->gaps[k];
        size_t after = trace_index(trace, gap->after);
        if (after == 0 || after >= trace->count || after < first || after > last + 1)
            continue;
        if (after > first && after <= last) {
            if (isinf(gap->hi_s)) {
                through->unbounded = true;
                through->unbounded_at = after;
                continue;
            }
            take_gap(through, (trace->a[after - 1] + trace->a[after]) / 2,
                     (watts_at(trace, after - 1) + watts_at(trace, after)) / 2,
                     (gap->lo_s + gap->hi_s) / 2 - gap->assumed_s, (gap->hi_s - gap->lo_s) / 2);
        } else if (isfinite(gap->hi_s) && gap->hi_s > gap->assumed_s) {
            size_t edge = after == first ? first : last;
            double more = (gap->hi_s - gap->assumed_s) / 2;
            take_gap(through, trace->a[edge], watts_at(trace, edge), more, more);
        }
    }
}

static void close_through(struct throughput *through)
{
    through->discharge_a2s = through->sums.charge_c > 0 ? through->sums.square_a2s : 0;
}

struct throughput throughput_over(const struct basis *basis, size_t first, size_t last, double start_s,
                                  double end_s)
{
    const struct trace *trace = basis->trace;
    struct throughput through = {.sums = ledger_sums(basis->ledger, first, last)};
    take_steps(basis, first, last, &through);
    hold_to_edge(basis, first, trace->t_s[first] - start_s, true, &through);
    hold_to_edge(basis, last, end_s - trace->t_s[last], false, &through);
    take_gaps(basis, first, last, &through);
    close_through(&through);
    return through;
}

struct throughput throughput_until(const struct basis *basis, size_t first, double start_s, struct place end)
{
    const struct trace *trace = basis->trace;
    struct throughput through = {.sums = ledger_sums(basis->ledger, first, end.k)};
    take_steps(basis, first, end.k, &through);
    hold_to_edge(basis, first, trace->t_s[first] - start_s, true, &through);
    if (end.fraction > 0) {
        double seconds = end.fraction * (trace->t_s[end.k + 1] - trace->t_s[end.k]);
        double a = place_value(trace->a, trace->count, end);
        double middle_a = (trace->a[end.k] + a) / 2;
        double v0 = volts_at(trace, end.k),
               v = trace->v != NULL ? place_value(trace->v, trace->count, end) : 0;
        through.sums.duration_s += seconds;
        through.sums.charge_c += middle_a * seconds;
        through.sums.volt_s += (v0 + v) / 2 * seconds;
        through.sums.square_a2s += middle_a * middle_a * seconds;
        struct place from = {end.k, 0};
        if (trace->v != NULL)
            through.sums.energy_j +=
                integrate_between(trace->t_s, trace->a, trace->v, trace->count, from, end);
    }
    take_gaps(basis, first, end.k, &through);
    close_through(&through);
    return through;
}

void throughput_add(struct throughput *through, const struct throughput *more)
{
    sums_add(&through->sums, &more->sums);
    through->shift_c += more->shift_c;
    through->shift_j += more->shift_j;
    through->shift_s += more->shift_s;
    through->discharge_a2s += more->discharge_a2s;
    openness_join(&through->steps, &more->steps);
    openness_join(&through->gaps, &more->gaps);
    if (more->unbounded) {
        through->unbounded = true;
        through->unbounded_at = more->unbounded_at;
    }
}
