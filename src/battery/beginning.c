#include "battery/beginning.h"

#include "battery/local_line.h"

#define SETTLING_S 60.0 /* from so long after the start to three times that the line is laid */

static size_t first_after(const double *t_s, size_t k, size_t last, double at_s)
{
    while (k < last && t_s[k] < at_s)
        k++;
    return k;
}

static bool volts_settle(const struct basis *basis, const struct findings *findings, const struct phase *phase)
{
    const struct trace *trace = basis->trace;
    if (trace->v == NULL)
        return false;
    double noise = isfinite(findings->noise_v) ? findings->noise_v : 0, start_s = trace->t_s[phase->first];
    double digit = accuracy_digit(&basis->rig->of[CHANNEL_VOLTAGE], basis->series->resolution[CHANNEL_VOLTAGE]);
    double wait_s = fmax(SETTLING_S, 2 * findings->period_s);
    size_t from = first_after(trace->t_s, phase->first, phase->last, start_s + wait_s);
    size_t to = first_after(trace->t_s, from, phase->last, start_s + 3 * wait_s);
    if (to < from + 3) /* the fewest readings that make a line */
        to = from + 3 <= phase->last ? from + 3 : phase->last;
    struct local_line line = local_line_at(trace->t_s, trace->v, from, to, start_s, noise);
    return line.n >= 4 && trace->v[phase->first] - line.value > 6 * hypot(noise, line.u) + digit;
}

static bool tally_begins(const struct delivery *delivery, const struct findings *findings)
{
    const struct basis *basis = delivery->basis;
    const double *tally = basis->series->column[CHANNEL_CHARGE_TALLY];
    if (tally == NULL || !measure_known(&findings->test_ah))
        return false;
    size_t first = delivery->runs[delivery->first].first;
    return fabs(tally[basis->trace->row != NULL ? basis->trace->row[first] : first]) <
           BEGUN_SHARE * findings->test_ah.value;
}

bool beginning_unseen(const struct delivery *delivery, const struct findings *findings)
{
    if (delivery->first != 0)
        return false;
    const struct phase *phase = &findings->phases[findings->runs[0].first_phase];
    return !volts_settle(delivery->basis, findings, phase) && !tally_begins(delivery, findings);
}
