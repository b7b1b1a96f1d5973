/* The second half of amounts.h: from what a stretch adds up to, to measures with their budgets. */
#include "battery/amounts.h"

#include "numeric/budget.h"

static const char *const calibrate = "a meter of smaller gain error, or a calibration against one";
static const char *const sense = "sense leads to the terminals";
static const char *const sample_faster = "a shorter sampling interval";
static const char *const more_digits = "a meter with one more digit";

static void add(struct measure *measure, enum cause cause, enum shape shape, double u, uint32_t source,
                const char *what, const char *remedy)
{
    measure_part(measure, (struct part){cause, shape, u, INFINITY, source, what, remedy});
}

static void add_bound(struct measure *measure, enum cause cause, double halfwidth, uint32_t source,
                      const char *what, const char *remedy)
{
    add(measure, cause, SHAPE_RECTANGULAR, halfwidth / sqrt(3), source, what, remedy);
}

void widths_part(const struct widths *widths, enum cause cause, double factor, const char *what,
                 const char *remedy, struct measure *measure)
{
    add_bound(measure, cause, factor * widths->widest[0], 0, what, remedy);
    add_bound(measure, cause, factor * widths->widest[1], 0, what, remedy);
    add(measure, cause, SHAPE_NORMAL, factor * sqrt(widths->rest_u2), 0, what, remedy);
}

/* One rounding error for each repeat of a reading; the longest keeps its shape. */
static void add_rounding(struct measure *measure, const struct flats *flats, double digit, const char *what)
{
    double longest = flats->longest_s, rest = flats_square(flats) - longest * longest;
    add_bound(measure, CAUSE_RESOLUTION, digit / 2 * longest, 0, what, more_digits);
    add(measure, CAUSE_RESOLUTION, SHAPE_NORMAL, digit / sqrt(12) * sqrt(fmax(0, rest)), 0, what,
        more_digits);
}

/* Noise and what happened between samples, in unit·s times `factor`. A stretch of fewer than eight
 * bends does not show its own noise well; `fallback` is the noise of a reading known from elsewhere. */
static void add_scatter(struct measure *measure, const struct sums *sums, const struct scatter *scatter,
                        double rounding, double fallback, double factor)
{
    double bends = (double)sums->bends, variance, dof;
    if (sums->bends >= 8 || (sums->bends > 0 && isnan(fallback))) {
        variance = -scatter->turn / bends;
        dof = fmax(1, bends * 2 / 7); /* variance of the mean turn of white noise: 7 s^4 / n */
    } else {
        variance = isnan(fallback) ? 0 : fallback * fallback;
        dof = INFINITY;
    }
    variance = fmax(0, variance);
    double own = fmax(0, variance - rounding * rounding / 12);
    measure_part(measure, (struct part){CAUSE_NOISE, isinf(dof) ? SHAPE_NORMAL : SHAPE_T,
                                        factor * sqrt(own * sums->width2_s2), dof, 0, "noise of the readings",
                                        "readings averaged by the meter, or more of them"});
    if (sums->bends == 0 || !(sums->bend_weight > 0))
        return;
    double wander = fmax(0, scatter->bend2 - variance * sums->bend_noise) / sums->bend_weight;
    /* bends of one sign add up; what those at random come to (twice its standard deviation) does not count */
    double curve = sqrt(fmax(0, scatter->bend * scatter->bend - 4 * scatter->bend2)) / sums->bend_weight;
    double cubes = fmax(0, sums->width3_s3) / 12;
    double dof_wander = fmax(1, sums->bend_weight * sums->bend_weight / sums->bend_weight2);
    measure_part(measure, (struct part){CAUSE_SAMPLING, SHAPE_T, factor * sqrt(wander * cubes), dof_wander, 0,
                                        "what happened between readings", sample_faster});
    add(measure, CAUSE_SAMPLING, SHAPE_NORMAL, factor * curve * cubes, 0, "curves between readings",
        sample_faster);
}

/* Amps that were worked out as watts / volts carry the errors of those two. */
static bool amps_from_watts(const struct basis *basis)
{
    return basis->series->column[CHANNEL_CURRENT] == NULL;
}

static void add_current_gain(struct measure *measure, const struct basis *basis, double value)
{
    const struct rig *rig = basis->rig;
    if (amps_from_watts(basis)) {
        add_bound(measure, CAUSE_GAIN_OTHER, value * rig->of[CHANNEL_POWER].gain,
                  rig_source(rig, CHANNEL_POWER, ERROR_GAIN), "gain of the power channel", calibrate);
        return;
    }
    const struct accuracy *current = &rig->of[CHANNEL_CURRENT];
    add_bound(measure, CAUSE_GAIN_CURRENT, value * current->gain,
              rig_source(rig, CHANNEL_CURRENT, ERROR_GAIN), "gain of the current channel", calibrate);
    add_bound(measure, CAUSE_GAIN_CURRENT, value * current->shunt_gain,
              rig_source(rig, CHANNEL_CURRENT, ERROR_SHUNT), "the shunt or current sensor",
              "a shunt of a better class");
}

static void add_voltage_gain(struct measure *measure, const struct basis *basis, double value)
{
    add_bound(measure, CAUSE_GAIN_VOLTAGE, value * basis->rig->of[CHANNEL_VOLTAGE].gain,
              rig_source(basis->rig, CHANNEL_VOLTAGE, ERROR_GAIN), "gain of the voltage channel", calibrate);
}

static void add_offset(struct measure *measure, const struct basis *basis, enum channel channel,
                       double sensitivity)
{
    double bound = accuracy_offset(&basis->rig->of[channel], basis->series->resolution[channel]);
    enum cause cause = channel == CHANNEL_CURRENT   ? CAUSE_OFFSET_CURRENT
                       : channel == CHANNEL_VOLTAGE ? CAUSE_OFFSET_VOLTAGE
                                                    : CAUSE_OFFSET_OTHER;
    add_bound(measure, cause, sensitivity * bound, rig_source(basis->rig, channel, ERROR_OFFSET),
              channel == CHANNEL_CURRENT   ? "offset of the current channel"
              : channel == CHANNEL_VOLTAGE ? "offset of the voltage channel"
                                           : "offset of the power channel",
              "the meter's zero, read with nothing connected, as its bound in the rig file");
}

static void add_clock(struct measure *measure, const struct basis *basis, double value)
{
    add_bound(measure, CAUSE_CLOCK, value * basis->rig->clock,
              rig_source(basis->rig, CHANNEL_VOLTAGE, ERROR_CLOCK), "the log's clock", "a better clock");
}

static double digit_of(const struct basis *basis, enum channel channel)
{
    return accuracy_digit(&basis->rig->of[channel], basis->series->resolution[channel]);
}

static struct measure unbounded(const struct throughput *through)
{
    return measure_unknown("the log's clock has a gap that nothing bounds, before its reading %zu, while "
                           "current flowed",
                           through->unbounded_at + 1);
}

/* No time, no amount: exactly. */
static struct measure nothing(void)
{
    struct measure none = measure_of(0);
    budget_close(&none);
    return none;
}

/* The charge times `factor`, without what unknown instants and the clock leave open. */
static struct measure charge_open(const struct basis *basis, const struct throughput *through, double factor)
{
    const struct sums *sums = &through->sums;
    double digit = digit_of(basis, CHANNEL_CURRENT);
    struct measure ah = measure_of((sums->charge_c + through->shift_c) * factor);
    add_current_gain(&ah, basis, ah.value);
    if (amps_from_watts(basis)) {
        add_voltage_gain(&ah, basis, -ah.value);
        double mean_v = sums->volt_s / sums->duration_s;
        add_offset(&ah, basis, CHANNEL_POWER, sums->duration_s / mean_v * factor);
    } else {
        add_offset(&ah, basis, CHANNEL_CURRENT, sums->duration_s * factor);
    }
    add_rounding(&ah, &sums->flat_a, digit * factor, "digits of the current channel");
    add_scatter(&ah, sums, &sums->amps, digit, basis->noise_a, factor);
    return ah;
}

struct measure throughput_charge_ah(const struct basis *basis, const struct throughput *through,
                                    int direction)
{
    if (through->unbounded)
        return unbounded(through);
    if (!(through->sums.duration_s > 0))
        return nothing();
    const double per_hour = direction / 3600.0;
    struct measure ah = charge_open(basis, through, per_hour);
    widths_part(&through->steps.c, CAUSE_STEP_INSTANTS, per_hour, "when the current stepped", sample_faster,
                &ah);
    widths_part(&through->gaps.c, CAUSE_GAP, per_hour, "gaps in the log's clock", "one clock throughout",
                &ah);
    add_clock(&ah, basis, ah.value);
    budget_close(&ah);
    return ah;
}

/* What lies between the volts that were read and those at the terminals, and what ripple hides; joules. */
static void correct_energy(const struct basis *basis, const struct throughput *through, struct measure *wh,
                           double per_hour)
{
    const struct rig *rig = basis->rig;
    double square = through->sums.square_a2s * per_hour;
    if (!rig->sense_leads) {
        wh->value += rig->lead_ohm * square;
        add_bound(wh, CAUSE_LEADS, rig->lead_halfwidth_ohm * square,
                  rig_source(rig, CHANNEL_VOLTAGE, ERROR_LEADS), "leads between meter and terminals", sense);
    }
    const struct ripple *ripple = &basis->ripple;
    double loss = through->discharge_a2s * per_hour;
    wh->value -= ripple->ohm * ripple->square_lo * loss;
    add_bound(wh, CAUSE_RIPPLE, ripple->ohm * (ripple->square_hi - ripple->square_lo) * loss, 0,
              "the load's ripple, unknown", "the ripple, measured, or a meter that multiplies at once");
    add(wh, CAUSE_RIPPLE, SHAPE_NORMAL, ripple->ohm_u * ripple->square_lo * loss, 0,
        "the resistance that ripple meets", "");
}

/* The energy times `factor`, as read; without what unknown instants and the clock leave open. */
static struct measure energy_open(const struct basis *basis, const struct throughput *through, double factor)
{
    const struct sums *sums = &through->sums;
    double mean_v = sums->volt_s / sums->duration_s, mean_a = sums->charge_c / sums->duration_s;
    double digit_v = digit_of(basis, CHANNEL_VOLTAGE), digit_a = digit_of(basis, CHANNEL_CURRENT);
    struct measure wh = measure_of((sums->energy_j + through->shift_j) * factor);
    add_current_gain(&wh, basis, wh.value);
    if (amps_from_watts(basis)) {
        add_offset(&wh, basis, CHANNEL_POWER, sums->duration_s * factor);
    } else {
        add_voltage_gain(&wh, basis, wh.value);
        add_offset(&wh, basis, CHANNEL_CURRENT, sums->volt_s * factor);
        add_offset(&wh, basis, CHANNEL_VOLTAGE, sums->charge_c * factor);
    }
    add_rounding(&wh, &sums->flat_a, digit_a * mean_v * factor, "digits of the current channel");
    add_rounding(&wh, &sums->flat_v, digit_v * mean_a * factor, "digits of the voltage channel");
    add_scatter(&wh, sums, &sums->watts, hypot(digit_a * mean_v, digit_v * mean_a),
                hypot(basis->noise_a * mean_v, basis->noise_v * mean_a), factor);
    return wh;
}

struct measure throughput_energy_wh(const struct basis *basis, const struct throughput *through,
                                    int direction)
{
    if (basis->trace->v == NULL)
        return measure_unknown("the log has no voltage");
    if (through->unbounded)
        return unbounded(through);
    if (!(through->sums.duration_s > 0))
        return nothing();
    const double per_hour = direction / 3600.0;
    struct measure wh = energy_open(basis, through, per_hour);
    widths_part(&through->steps.j, CAUSE_STEP_INSTANTS, per_hour, "when the current stepped", sample_faster,
                &wh);
    widths_part(&through->gaps.j, CAUSE_GAP, per_hour, "gaps in the log's clock", "one clock throughout",
                &wh);
    add_clock(&wh, basis, wh.value);
    correct_energy(basis, through, &wh, per_hour);
    budget_close(&wh);
    return wh;
}

static double widths_u2(const struct widths *widths)
{
    return (widths->widest[0] * widths->widest[0] + widths->widest[1] * widths->widest[1]) / 3 +
           widths->rest_u2;
}

/* Standard uncertainty of energy - volts · charge. */
static double open_volts(const struct openness *open, double volts)
{
    double u2 = widths_u2(&open->j) - 2 * volts * open->cj_u2 + volts * volts * widths_u2(&open->c);
    return sqrt(fmax(0, u2));
}

/* Energy over charge. What moves both alike cancels: the gain of the current, the clock, and the instants
 * of steps and gaps but for the volts at that moment against the mean. */
struct measure throughput_mean_v(const struct basis *basis, const struct throughput *through)
{
    const struct sums *sums = &through->sums;
    if (basis->trace->v == NULL)
        return measure_unknown("the log has no voltage");
    if (sums->charge_c == 0)
        return measure_unknown("no charge flowed");
    double charge = sums->charge_c + through->shift_c;
    double digit = digit_of(basis, CHANNEL_VOLTAGE);
    struct measure v = measure_of((sums->energy_j + through->shift_j) / charge);
    double per_s = 1 / sums->duration_s;
    add_voltage_gain(&v, basis, v.value);
    add_offset(&v, basis, CHANNEL_VOLTAGE, 1);
    if (!amps_from_watts(basis)) /* an offset of the current weighs the volts by time instead of charge */
        add_offset(&v, basis, CHANNEL_CURRENT, (sums->volt_s - v.value * sums->duration_s) / charge);
    add_rounding(&v, &sums->flat_v, digit * per_s, "digits of the voltage channel");
    struct scatter scatter = scatter_less(&sums->watts, &sums->amps, &sums->both, v.value);
    double mean_a = charge / sums->duration_s;
    /* the knee, coarsely read, is a drift that hides noise: the volts' own is known better */
    if (isfinite(basis->noise_v))
        scatter.turn = fmin(scatter.turn, -(double)sums->bends * pow(basis->noise_v * mean_a, 2));
    add_scatter(&v, sums, &scatter, digit * mean_a, basis->noise_v * mean_a, 1 / charge);
    add(&v, CAUSE_STEP_INSTANTS, SHAPE_NORMAL, open_volts(&through->steps, v.value) / charge, 0,
        "when the current stepped", sample_faster);
    add(&v, CAUSE_GAP, SHAPE_NORMAL, open_volts(&through->gaps, v.value) / charge, 0,
        "gaps in the log's clock", "one clock throughout");
    correct_energy(basis, through, &v, 1 / charge);
    budget_close(&v);
    return v;
}

/* Standard uncertainty of an amount less `rate` times the seconds, as far as instants leave it open. */
static double open_rate(const struct widths *amount, double with_s_u2, const struct widths *seconds, double rate)
{
    return sqrt(fmax(0, widths_u2(amount) - 2 * rate * with_s_u2 + rate * rate * widths_u2(seconds)));
}

static void add_open_rate(struct measure *mean, const struct throughput *through, bool energy, double rate, double per_s)
{
    const struct openness *open[] = {&through->steps, &through->gaps};
    static const enum cause causes[] = {CAUSE_STEP_INSTANTS, CAUSE_GAP};
    static const char *const what[] = {"when the current stepped", "gaps in the log's clock"};
    for (int k = 0; k < 2; k++) {
        double u = energy ? open_rate(&open[k]->j, open[k]->js_u2, &open[k]->s, rate)
                          : open_rate(&open[k]->c, open[k]->cs_u2, &open[k]->s, rate);
        add(mean, causes[k], SHAPE_NORMAL, u * per_s, 0, what[k], k == 0 ? sample_faster : "one clock throughout");
    }
}

struct measure throughput_mean_a(const struct basis *basis, const struct throughput *through, int direction)
{
    double seconds = through->sums.duration_s + through->shift_s;
    if (through->unbounded)
        return unbounded(through);
    if (!(seconds > 0))
        return measure_unknown("no time passed");
    struct measure a = charge_open(basis, through, direction / seconds);
    add_open_rate(&a, through, false, direction * a.value, 1 / seconds);
    budget_close(&a);
    return a;
}

struct measure throughput_mean_w(const struct basis *basis, const struct throughput *through, int direction)
{
    double seconds = through->sums.duration_s + through->shift_s;
    if (basis->trace->v == NULL)
        return measure_unknown("the log has no voltage");
    if (through->unbounded)
        return unbounded(through);
    if (!(seconds > 0))
        return measure_unknown("no time passed");
    struct measure w = energy_open(basis, through, direction / seconds);
    add_open_rate(&w, through, true, direction * w.value, 1 / seconds);
    correct_energy(basis, through, &w, direction / seconds);
    budget_close(&w);
    return w;
}

struct measure throughput_duration_s(const struct basis *basis, const struct throughput *through)
{
    if (through->unbounded)
        return unbounded(through);
    struct measure s = measure_of(through->sums.duration_s + through->shift_s);
    widths_part(&through->steps.s, CAUSE_STEP_INSTANTS, 1, "when it began and ended", sample_faster, &s);
    widths_part(&through->gaps.s, CAUSE_GAP, 1, "gaps in the log's clock", "one clock throughout", &s);
    add_clock(&s, basis, s.value);
    budget_close(&s);
    return s;
}
