#include "battery/drawn.h"

#include "battery/burst.h"

/* The phase that ends before a step. */
static const struct phase *phase_before(const struct findings *findings, const struct step *step)
{
    size_t k = 0;
    while (k + 1 < findings->phase_count && findings->phases[k].last < step->before)
        k++;
    return &findings->phases[k];
}

static void take_values(const struct basis *basis, const struct findings *findings, const struct phase *before,
                        struct step_drawn *drawn)
{
    const struct step *step = drawn->step;
    for (int k = 0; k < step->resistances; k++) {
        const struct resistance *r = &step->resistance[k];
        double before_v = NAN, after_v = NAN;
        if (!measure_known(&r->ohm))
            continue;
        (void)resistance_between(basis->series, basis->trace, basis->rig, findings, before, step, r->delay_s, &before_v,
                                 &after_v);
        if (k == 0) { /* the first reading itself */
            before_v = resistance_carried_v(basis->series, basis->trace, basis->rig, findings, before, step, r->delay_s);
            after_v = basis->trace->v[step->after];
        }
        if (!isfinite(before_v) || !isfinite(after_v))
            continue;
        drawn->values[drawn->count].t_s = step->at_s + r->delay_s;
        drawn->values[drawn->count].before_v = before_v;
        drawn->values[drawn->count].after_v = after_v;
        drawn->values[drawn->count++].resistance = r;
    }
}

enum status step_draw(const struct ground *ground, size_t index, struct step_drawn *ret_drawn, struct message *message)
{
    const struct basis *basis = ground_basis(ground);
    const struct findings *findings = ground_findings(ground);
    if (index >= findings->step_count)
        return status_fail(message, STATUS_UNREADABLE, "this run has %zu steps, not %zu", findings->step_count, index + 1);
    if (basis->trace->v == NULL)
        return status_fail(message, STATUS_UNREADABLE, "the log has no voltage to draw a step's resistance with");
    const struct step *step = &findings->steps[index];
    const struct phase *before = phase_before(findings, step);
    struct step_drawn drawn = {.step = step};
    drawn.before = resistance_line(basis->series, basis->trace, basis->rig, findings, before, step);
    take_values(basis, findings, before, &drawn);
    double last_s = step->resistances > 0 ? step->resistance[step->resistances - 1].delay_s
                                          : basis->trace->t_s[step->after] - step->at_s;
    for (drawn.carried = 0; drawn.carried < DRAWN_POINTS; drawn.carried++) {
        double delay_s = last_s * drawn.carried / (DRAWN_POINTS - 1);
        drawn.carried_s[drawn.carried] = step->at_s + delay_s;
        drawn.carried_v[drawn.carried] =
            resistance_carried_v(basis->series, basis->trace, basis->rig, findings, before, step, delay_s);
    }
    drawn.to_s = step->at_s + 1.3 * last_s;
    *ret_drawn = drawn;
    return STATUS_OK;
}

/* The phase of a burst is known by its edges. */
static const struct phase *phase_of(const struct findings *findings, const struct burst *burst)
{
    return burst->phase < findings->phase_count ? &findings->phases[burst->phase] : NULL;
}

enum status burst_draw(const struct ground *ground, size_t index, struct burst_drawn *ret_drawn, struct message *message)
{
    const struct trace *trace = ground_basis(ground)->trace;
    const struct findings *findings = ground_findings(ground);
    if (index >= findings->burst_count)
        return status_fail(message, STATUS_UNREADABLE, "this run has %zu bursts, not %zu", findings->burst_count, index + 1);
    struct burst_drawn drawn = {.burst = &findings->bursts[index]};
    const struct phase *phase = phase_of(findings, drawn.burst);
    struct burst_base base;
    if (phase == NULL || trace->v == NULL || !burst_carried(trace, phase, &base)) {
        status_fail(message, STATUS_UNREADABLE, "there are too few readings at the base load before or after this burst to carry it across");
        return STATUS_UNREADABLE;
    }
    double length = phase->end_s - phase->start_s, recovery = drawn.burst->recovery_s;
    double end_s = phase->end_s + (isfinite(recovery) ? recovery : base.window_s), u;
    size_t last = phase->last;
    while (last + 1 < trace->count && trace->t_s[last + 1] <= end_s)
        last++;
    size_t stride = (last - phase->first) / (DRAWN_BURST_POINTS - 1) + 1;
    for (size_t k = phase->first; k <= last && drawn.count < DRAWN_BURST_POINTS; k += stride) {
        double q = 3600 * ground_charge_ah(ground, phase->start_s, trace->t_s[k]);
        drawn.t_s[drawn.count] = trace->t_s[k];
        drawn.base_v[drawn.count] = burst_base_at(&base, q, &u);
        drawn.read_v[drawn.count++] = trace->v[k];
    }
    drawn.from_s = phase->start_s - length;
    drawn.to_s = fmin(end_s, phase->end_s + 3 * length) + 0.3 * length;
    *ret_drawn = drawn;
    return STATUS_OK;
}
