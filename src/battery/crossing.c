#include "battery/crossing.h"

#include "numeric/budget.h"

/* Joules or coulombs of a run. */
static double gain_of(const struct throughput *through, bool energy)
{
    return energy ? through->sums.energy_j : through->sums.charge_c;
}

/* What is still missing when reading run->first comes: the edge before it has brought something. */
static double edge_gain(const struct delivery *delivery, const struct run *run, bool energy)
{
    struct sums edge = {0};
    const struct trace *trace = delivery->basis->trace;
    sums_hold(&edge, trace, run->first, trace->t_s[run->first] - run->start_s);
    return energy ? edge.energy_j : edge.charge_c;
}

static struct crossing crossing_at(const struct delivery *delivery, bool energy, double rated, size_t run,
                                   struct place place)
{
    const struct basis *basis = delivery->basis;
    const struct trace *trace = basis->trace;
    double volts = trace->v != NULL ? place_value(trace->v, trace->count, place) : NAN;
    double amps = place_value(trace->a, trace->count, place);
    double per_s = (energy ? volts * amps : amps) / 3600; /* Ah or Wh a second */
    double at_s = place_value(trace->t_s, trace->count, place);
    struct throughput until = delivery_until(delivery, run, place);
    struct measure amount =
        energy ? throughput_energy_wh(basis, &until, 1) : throughput_charge_ah(basis, &until, 1);
    struct crossing crossing = {.rated = rated, .reached = true, .volts = volts};
    /* a meter that reads high passes the rated value early */
    crossing.at_s = measure_scale(&amount, -1 / per_s);
    if (measure_known(&crossing.at_s)) {
        /* gaps and the ripple move the amount at that place off the rated value: follow it to first order */
        double off = (rated - amount.value) / per_s;
        crossing.at_s.value = at_s - delivery->runs[delivery->first].start_s + off;
        budget_close(&crossing.at_s);
    }
    return crossing;
}

struct crossing crossing_find(const struct delivery *delivery, bool energy, double rated)
{
    const struct basis *basis = delivery->basis;
    struct crossing missed = {.rated = rated, .volts = NAN};
    if (isnan(rated)) {
        missed.at_s = measure_unknown("no rated value was given");
        return missed;
    }
    if (energy && basis->trace->v == NULL) {
        missed.at_s = measure_unknown("the log has no voltage");
        return missed;
    }
    double left = rated * 3600;
    for (size_t k = delivery->first; k <= delivery->last; k++) {
        const struct run *run = &delivery->runs[k];
        if (run->kind == RUN_REST)
            continue;
        double edge = edge_gain(delivery, run, energy);
        struct place place;
        if (run->kind == RUN_DISCHARGE &&
            ledger_reaches(basis->ledger, run->first, run->last, energy, fmax(0, left - edge), &place))
            return crossing_at(delivery, energy, rated, k, place);
        left -= gain_of(&delivery->throughs[k], energy);
    }
    missed.at_s =
        measure_unknown("the test ended before it had delivered %g %s", rated, energy ? "Wh" : "Ah");
    return missed;
}
