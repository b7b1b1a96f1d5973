#include "battery/stretch.h"

#include "base/memory.h"
#include "base/number.h"

struct ground {
    const struct findings *findings;
    struct trace trace;
    struct ledger ledger;
    struct basis basis;
};

void ground_free(struct ground *ground)
{
    if (ground == NULL)
        return;
    ledger_free(&ground->ledger);
    trace_free(&ground->trace);
    free(ground);
}

enum status ground_make(const struct series *series, const struct rig *rig, const struct findings *findings,
                        struct ground **ret_ground, struct message *message)
{
    struct ground *ground = memory_get(sizeof *ground);
    ground->findings = findings;
    if (!trace_of_series(series, &ground->trace) || !ledger_init(&ground->ledger, &ground->trace)) {
        ground_free(ground);
        return status_fail(message, STATUS_LIMIT, "%zu readings do not fit into memory once more", series->count);
    }
    ground->basis = (struct basis){
        .series = series,
        .trace = &ground->trace,
        .ledger = &ground->ledger,
        .rig = rig,
        .steps = findings->steps,
        .step_count = findings->step_count,
        .noise_a = findings->noise_a,
        .noise_v = findings->noise_v,
        .ripple = findings->ripple,
    };
    *ret_ground = ground;
    return STATUS_OK;
}

const struct basis *ground_basis(const struct ground *ground)
{
    return &ground->basis;
}

const struct findings *ground_findings(const struct ground *ground)
{
    return ground->findings;
}

/* Of the readings of a trace, how many lie before t_s; with `at` also those at it. */
static size_t count_before(const struct trace *trace, double t_s, bool at)
{
    size_t lo = 0, hi = trace->count;
    while (lo < hi) {
        size_t middle = lo + (hi - lo) / 2;
        if (trace->t_s[middle] < t_s || (at && trace->t_s[middle] == t_s))
            lo = middle + 1;
        else
            hi = middle;
    }
    return lo;
}

/* Phases lie one after the other. */
static const struct phase *phase_that_ends_at(const struct findings *findings, size_t last)
{
    size_t lo = 0, hi = findings->phase_count;
    while (lo < hi) {
        size_t middle = lo + (hi - lo) / 2;
        if (findings->phases[middle].last < last)
            lo = middle + 1;
        else
            hi = middle;
    }
    return lo < findings->phase_count ? &findings->phases[lo] : NULL;
}

enum status stretch_measure(const struct ground *ground, double from_s, double to_s, struct stretch_found *ret_stretch,
                            struct message *message)
{
    const struct trace *trace = &ground->trace;
    const struct basis *basis = &ground->basis;
    size_t first = count_before(trace, from_s, false), end = count_before(trace, to_s, true);
    if (end < first + 2) {
        char from[32], to[32];
        number_print_duration(from_s, from, sizeof from);
        number_print_duration(to_s, to, sizeof to);
        status_fail(message, STATUS_USAGE, "fewer than two readings with volts and amps lie between %s and %s", from, to);
        return status_remedy(message, "choose a longer stretch");
    }
    size_t last = end - 1;
    const struct phase *begins = phase_that_ends_at(ground->findings, first), *ends = phase_that_ends_at(ground->findings, last);
    struct stretch_found s = {.from_s = trace->t_s[first], .to_s = trace->t_s[last], .readings = end - first};
    s.from_s = begins != NULL && begins->first == first ? begins->start_s : s.from_s;
    s.to_s = ends != NULL && ends->last == last ? ends->end_s : s.to_s;
    s.first = trace->row != NULL ? trace->row[first] : first;
    s.last = trace->row != NULL ? trace->row[last] : last;
    struct throughput through = throughput_over(basis, first, last, s.from_s, s.to_s);
    s.direction = through.sums.charge_c + through.shift_c < 0 ? -1 : 1;
    s.charge_ah = throughput_charge_ah(basis, &through, s.direction);
    s.energy_wh = throughput_energy_wh(basis, &through, s.direction);
    s.mean_v = throughput_mean_v(basis, &through);
    s.mean_a = throughput_mean_a(basis, &through, s.direction);
    s.mean_w = throughput_mean_w(basis, &through, s.direction);
    s.duration_s = throughput_duration_s(basis, &through);
    *ret_stretch = s;
    return STATUS_OK;
}

/* Within the readings, of which there are two or more. */
static struct place place_of(const struct trace *trace, double t_s)
{
    struct place place = {t_s > trace->t_s[0] ? trace->count - 1 : 0, 0};
    (void)place_at(trace->t_s, trace->count, t_s, &place);
    return place;
}

/* From the reading at or before a place to the place, A·s. */
static double charge_into(const struct trace *trace, struct place place)
{
    return place.fraction > 0 ? integrate_between(trace->t_s, trace->a, NULL, trace->count, (struct place){place.k, 0}, place) : 0;
}

double ground_charge_ah(const struct ground *ground, double from_s, double to_s)
{
    const struct trace *trace = &ground->trace;
    if (from_s > to_s)
        return -ground_charge_ah(ground, to_s, from_s);
    struct place from = place_of(trace, from_s), to = place_of(trace, to_s);
    double c = ledger_sums(&ground->ledger, from.k, to.k).charge_c;
    return (c - charge_into(trace, from) + charge_into(trace, to)) / 3600;
}

double ground_when(const struct ground *ground, double from_s, double charge_ah)
{
    const struct trace *trace = &ground->trace;
    struct place from = place_of(trace, from_s), at;
    double target = charge_ah * 3600 + charge_into(trace, from);
    size_t last = trace->count - 1;
    if (!ledger_reaches(&ground->ledger, from.k, last, false, target, &at))
        return trace->t_s[last];
    double step = at.fraction > 0 ? at.fraction * (trace->t_s[at.k + 1] - trace->t_s[at.k]) : 0;
    return trace->t_s[at.k] + step;
}
