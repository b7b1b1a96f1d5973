#include "battery/capacity.h"

#include "base/memory.h"
#include "battery/burst.h"
#include "battery/segment.h"
#include "numeric/budget.h"

int capacity_usual(int cells, double *ret_v)
{
    static const double of_four[] = {12, 11.5, 11.2,
                                     11, 10.5, 10}; /* 11.2 = 4 · 2.8; 12 and 10 are 3.0 and 2.5 a cell */
    static const double of_one[] = {3.0, 2.8, 2.5};
    int count = 0;
    if (cells > 0 && cells % 4 == 0)
        for (size_t k = 0; k < sizeof of_four / sizeof of_four[0]; k++)
            ret_v[count++] = of_four[k] * cells / 4;
    else
        for (size_t k = 0; cells > 0 && k < sizeof of_one / sizeof of_one[0]; k++)
            ret_v[count++] = of_one[k] * cells;
    return count;
}

/* Where volts under load came down to a level. */
struct fall {
    bool found;
    size_t run;
    struct place place;
    double only_pulse_s; /* when a pulse alone went below, before any of that; NaN */
};

/* The last reading from k on that is above the level before the volts are clear of it by four times the
 * noise (one reading in 16,000 strays further). */
static size_t last_above(const struct trace *trace, size_t k, size_t last, double level, double noise)
{
    size_t above = k - 1;
    for (; k <= last && trace->v[k] > level - 4 * noise && trace->v[k] <= level + 4 * noise; k++)
        if (trace->v[k] > level)
            above = k;
    return above;
}

/* The instant between readings k and k + 1 at which the line through them passes the level. */
static double pass_s(const struct trace *trace, size_t k, double level)
{
    double v0 = trace->v[k], v1 = trace->v[k + 1], t0 = trace->t_s[k], t1 = trace->t_s[k + 1];
    return v0 > v1 ? t0 + (t1 - t0) * fmin(1, fmax(0, (v0 - level) / (v0 - v1))) : t1;
}

/* Volts that are still below the level when a pulse is over, and then recover, have not come down to it. */
static size_t after_recovery(const struct trace *trace, const struct phase *phase, double level, double noise)
{
    size_t up = phase->first;
    while (up <= phase->last && trace->v[up] <= level + 4 * noise)
        up++;
    return up <= phase->last ? up : phase->first;
}

/* Before a burst the last volts may be those of the burst already: channels can be a row apart. */
static bool fall_in_phase(const struct delivery *delivery, struct phase within, bool after_pulse,
                          bool before_burst, double level, double noise, struct place *ret_place)
{
    const struct trace *trace = delivery->basis->trace;
    const struct phase *phase = &within;
    within.last -= before_burst && within.last > within.first;
    size_t from = after_pulse ? after_recovery(trace, phase, level, noise) : phase->first;
    size_t k = ledger_falls_to(delivery->basis->ledger, from, phase->last, level);
    while (k < phase->last && trace->v[k + 1] > level + 4 * noise) /* a glitch */
        k = ledger_falls_to(delivery->basis->ledger, k + 1, phase->last, level);
    if (k > phase->last)
        return false;
    if (k == phase->first) {
        *ret_place = (struct place){k, 0};
        return true;
    }
    double early_s = pass_s(trace, k - 1, level);
    size_t above = last_above(trace, k, phase->last, level, noise);
    double late_s = above >= k && above < phase->last ? pass_s(trace, above, level) : early_s;
    return place_at(trace->t_s, trace->count, (early_s + late_s) / 2, ret_place);
}

/* A pulse, or a burst of any length that the load came back from, or a brief one that ended the test: its
 * volts are not those of the load that the cut-off is for. */
static bool is_aside(const struct findings *findings, size_t p)
{
    const struct phase *phase = &findings->phases[p];
    bool ends;
    return phase->pulse || (burst_is(findings, p, &ends) && !(ends && phase->end_s - phase->start_s > PULSE_S));
}

static struct fall find_fall(const struct delivery *delivery, const struct findings *findings, double level)
{
    struct fall fall = {.only_pulse_s = NAN};
    double noise = isfinite(findings->noise_v) ? findings->noise_v : 0;
    for (size_t r = delivery->first; r <= delivery->last; r++) {
        const struct run *run = &delivery->runs[r];
        for (size_t p = run->first_phase; p < run->first_phase + run->phases; p++) {
            const struct phase *phase = &findings->phases[p];
            if (phase->kind != RUN_DISCHARGE)
                continue;
            struct place place;
            bool after_pulse = p > run->first_phase && is_aside(findings, p - 1);
            bool before_burst = p + 1 < run->first_phase + run->phases && is_aside(findings, p + 1);
            if (!fall_in_phase(delivery, *phase, after_pulse, before_burst, level, noise, &place))
                continue;
            if (!is_aside(findings, p))
                return (struct fall){true, r, place, fall.only_pulse_s};
            if (isnan(fall.only_pulse_s))
                fall.only_pulse_s =
                    place_value(delivery->basis->trace->t_s, delivery->basis->trace->count, place);
        }
    }
    return fall;
}

static double coulombs_at(const struct delivery *delivery, const struct fall *fall)
{
    return delivery_until(delivery, fall->run, fall->place).sums.charge_c;
}

/* Charge that passes while the volts fall by one volt at the level, told from the stretch over which the
 * voltage channel's own error reaches; A·s a volt. */
static double coulombs_per_volt(const struct delivery *delivery, const struct findings *findings,
                                double level, double bound_v, const struct fall *fall)
{
    double reach = fmax(bound_v, isfinite(findings->noise_v) ? 4 * findings->noise_v : 0);
    struct fall above = find_fall(delivery, findings, level + reach);
    struct fall below = find_fall(delivery, findings, level - reach);
    double here = coulombs_at(delivery, fall);
    double up = above.found ? coulombs_at(delivery, &above) : here;
    double down = below.found ? coulombs_at(delivery, &below) : here;
    double span = (above.found ? reach : 0) + (below.found ? reach : 0);
    return span > 0 ? (down - up) / span : 0;
}

/* Adds what the voltage channel's error costs; `per_volt` in the measure's unit. */
static void add_voltage_error(const struct basis *basis, const struct findings *findings, double level,
                              double amps, double per_volt, struct measure *measure)
{
    const struct rig *rig = basis->rig;
    const struct accuracy *volts = &rig->of[CHANNEL_VOLTAGE];
    static const char *const remedy = "a better voltage channel, or one calibrated at the cut-off";
    double offset = accuracy_offset(volts, basis->series->resolution[CHANNEL_VOLTAGE]);
    const struct part parts[] = {
        {CAUSE_GAIN_VOLTAGE, SHAPE_RECTANGULAR, per_volt * level * volts->gain / sqrt(3), INFINITY,
         rig_source(rig, CHANNEL_VOLTAGE, ERROR_GAIN), "gain of the voltage channel at the cut-off", remedy},
        {CAUSE_OFFSET_VOLTAGE, SHAPE_RECTANGULAR, per_volt * offset / sqrt(3), INFINITY,
         rig_source(rig, CHANNEL_VOLTAGE, ERROR_OFFSET), "offset of the voltage channel at the cut-off",
         remedy},
        {CAUSE_LEADS, SHAPE_RECTANGULAR,
         rig->sense_leads ? 0 : -per_volt * amps * rig->lead_halfwidth_ohm / sqrt(3), INFINITY,
         rig_source(rig, CHANNEL_VOLTAGE, ERROR_LEADS), "leads between meter and terminals",
         "sense leads to the terminals"},
        {CAUSE_NOISE, SHAPE_NORMAL, isfinite(findings->noise_v) ? per_volt * findings->noise_v : 0, INFINITY,
         0, "noise of the volts at the cut-off", ""},
    };
    for (size_t k = 0; k < sizeof parts / sizeof parts[0]; k++)
        measure_part(measure, parts[k]);
    budget_close(measure);
}

static struct capacity not_reached(const struct findings *findings, double cut_off_v, const struct fall *fall,
                                   struct notices *notices)
{
    struct capacity capacity = {.cut_off_v = cut_off_v, .at_s = NAN};
    if (isnan(fall->only_pulse_s)) {
        capacity.charge_ah = measure_unknown("the volts under load did not come down to %g V", cut_off_v);
    } else {
        capacity.charge_ah = measure_unknown("only a burst, at %.0f s, went below %g V",
                                             fall->only_pulse_s - findings->test_start_s, cut_off_v);
        notices_add(
            notices, "cut-off", 0,
            "The volts were below %g V only during a burst, %.0f s into the test; that is not taken as "
            "the cut-off reached.",
            cut_off_v, fall->only_pulse_s - findings->test_start_s);
    }
    capacity.energy_wh = capacity.charge_ah;
    return capacity;
}

static struct capacity capacity_at(const struct delivery *delivery, const struct findings *findings,
                                   double cut_off_v, struct notices *notices)
{
    const struct basis *basis = delivery->basis;
    const struct rig *rig = basis->rig;
    double amps = findings->test_mean_a;
    double level =
        rig->sense_leads ? cut_off_v : cut_off_v - rig->lead_ohm * amps; /* as the meter shows it */
    struct fall fall = find_fall(delivery, findings, level);
    if (!fall.found)
        return not_reached(findings, cut_off_v, &fall, notices);
    struct throughput until = delivery_until(delivery, fall.run, fall.place);
    struct capacity capacity = {
        .cut_off_v = cut_off_v,
        .reached = true,
        .at_s = place_value(basis->trace->t_s, basis->trace->count, fall.place),
        .charge_ah = throughput_charge_ah(basis, &until, 1),
        .energy_wh = throughput_energy_wh(basis, &until, 1),
    };
    double bound =
        accuracy_bound(&rig->of[CHANNEL_VOLTAGE], level, basis->series->resolution[CHANNEL_VOLTAGE]);
    double ah_per_volt = coulombs_per_volt(delivery, findings, level, bound, &fall) / 3600;
    add_voltage_error(basis, findings, level, amps, ah_per_volt, &capacity.charge_ah);
    add_voltage_error(basis, findings, level, amps, ah_per_volt * level, &capacity.energy_wh);
    return capacity;
}

static bool listed(const struct asked *asked, double volts)
{
    for (int k = 0; k < asked->cut_offs; k++)
        if (fabs(asked->cut_off_v[k] - volts) < 1e-6 * volts) /* the same figure, typed or multiplied out */
            return true;
    return false;
}

static int higher_first(const void *a, const void *b)
{
    double x = ((const struct capacity *)a)->cut_off_v, y = ((const struct capacity *)b)->cut_off_v;
    return (x < y) - (x > y);
}

static void without_volts(const struct asked *asked, struct findings *findings)
{
    findings->capacities = memory_get((size_t)(asked->cut_offs + 1) * sizeof *findings->capacities);
    findings->capacity_count = (size_t)asked->cut_offs;
    struct measure unknown = measure_unknown("the log has no voltage");
    for (int k = 0; k < asked->cut_offs; k++)
        findings->capacities[k] = (struct capacity){asked->cut_off_v[k], true, false, NAN, unknown, unknown};
}

void capacity_find(const struct delivery *delivery, const struct asked *asked, struct findings *findings,
                   struct notices *notices)
{
    if (delivery->basis->trace->v == NULL) {
        without_volts(asked, findings);
        return;
    }
    double usual[ASKED_CUT_OFFS];
    int usual_count = asked->lithium_iron_phosphate ? capacity_usual(asked->cells, usual) : 0;
    findings->capacities =
        memory_get((size_t)(asked->cut_offs + usual_count + 1) * sizeof *findings->capacities);
    size_t count = 0;
    for (int k = 0; k < asked->cut_offs; k++) {
        struct capacity one = capacity_at(delivery, findings, asked->cut_off_v[k], notices);
        one.asked = true;
        findings->capacities[count++] = one;
    }
    for (int k = 0; k < usual_count; k++) {
        if (listed(asked, usual[k]))
            continue;
        struct notices unheard = {0};
        struct capacity one = capacity_at(delivery, findings, usual[k], &unheard);
        notices_free(&unheard);
        if (one.reached)
            findings->capacities[count++] = one;
    }
    qsort(findings->capacities, count, sizeof *findings->capacities, higher_first);
    findings->capacity_count = count;
}
