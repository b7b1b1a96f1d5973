#include "battery/watched.h"

#include "battery/ending.h"
#include "numeric/budget.h"

#include <math.h>

enum { LAST_READINGS = 5 };

size_t watched_before(const struct watched *watched, double at_s)
{
    size_t low = 0, high = watched->count;
    while (low < high) {
        size_t middle = low + (high - low) / 2;
        if (watched->t_s[middle] < at_s)
            low = middle + 1;
        else
            high = middle;
    }
    return low;
}

bool watched_rows(const struct watched *watched, double from_s, double to_s, size_t *ret_first, size_t *ret_count)
{
    *ret_first = watched_before(watched, from_s);
    *ret_count = watched_before(watched, nextafter(to_s, INFINITY)) - *ret_first;
    return *ret_count > 0;
}

double watched_edge_s(const struct watched *watched, double at_s)
{
    const struct findings *f = watched->findings;
    for (size_t k = 0; k < f->step_count; k++)
        if (f->steps[k].at_s == at_s)
            return f->steps[k].at_halfwidth_s + watched->rig->averaging_s;
    size_t after = watched_before(watched, at_s);
    return after > 0 && after < watched->count ? (watched->t_s[after] - watched->t_s[after - 1]) / 2 + watched->rig->averaging_s : NAN;
}

double watched_last(const struct watched *watched, const double *column, double at_s, double back_s)
{
    if (column == NULL)
        return NAN;
    for (size_t k = watched_before(watched, nextafter(at_s, INFINITY)); k-- > 0 && watched->t_s[k] >= at_s - back_s;)
        if (isfinite(column[k]))
            return column[k];
    return NAN;
}

static void add(struct measure *m, enum cause cause, double halfwidth, uint32_t source, const char *what, const char *remedy)
{
    measure_part(m, (struct part){cause, SHAPE_RECTANGULAR, halfwidth / sqrt(3), INFINITY, source, what, remedy});
}

void watched_add_amps(const struct watched *watched, double a, double half, struct measure *ret_measure)
{
    const struct rig *rig = watched->rig;
    const struct accuracy *own = &rig->of[CHANNEL_CURRENT];
    add(ret_measure, CAUSE_GAIN_CURRENT, a * own->gain, rig_source(rig, CHANNEL_CURRENT, ERROR_GAIN), "gain of the current channel",
        "a calibration of the ammeter");
    add(ret_measure, CAUSE_GAIN_CURRENT, a * own->shunt_gain, rig_source(rig, CHANNEL_CURRENT, ERROR_SHUNT),
        "the shunt or current sensor", "a shunt of a better class");
    add(ret_measure, CAUSE_OFFSET_CURRENT, accuracy_offset(own, watched->digit_a), rig_source(rig, CHANNEL_CURRENT, ERROR_OFFSET),
        "offset of the current channel", "zero the ammeter with nothing connected");
    add(ret_measure, CAUSE_RESOLUTION, fmax(accuracy_digit(own, watched->digit_a) / 2, half), 0,
        "digits of the amps, as they were read", "a meter with one more digit");
}

void watched_add_volts(const struct watched *watched, double v, double half, struct measure *ret_measure)
{
    const struct rig *rig = watched->rig;
    const struct accuracy *own = &rig->of[CHANNEL_VOLTAGE];
    add(ret_measure, CAUSE_GAIN_VOLTAGE, v * own->gain, rig_source(rig, CHANNEL_VOLTAGE, ERROR_GAIN), "gain of the voltage channel",
        "a calibration of the voltmeter");
    add(ret_measure, CAUSE_OFFSET_VOLTAGE, accuracy_offset(own, watched->digit_v), rig_source(rig, CHANNEL_VOLTAGE, ERROR_OFFSET),
        "offset of the voltage channel", "a calibration of the voltmeter");
    add(ret_measure, CAUSE_RESOLUTION, fmax(accuracy_digit(own, watched->digit_v) / 2, half), 0, "digits of the volts",
        "a meter with one more digit");
}

void watched_add_degc(const struct watched *watched, double degc, double half, struct measure *ret_measure)
{
    const struct rig *rig = watched->rig;
    const struct accuracy *own = &rig->of[CHANNEL_TEMPERATURE];
    add(ret_measure, CAUSE_OFFSET_OTHER, accuracy_offset(own, watched->digit_degc) + own->gain * fabs(degc),
        rig_source(rig, CHANNEL_TEMPERATURE, ERROR_OFFSET), "thermometer", "hold it against ice water");
    add(ret_measure, CAUSE_RESOLUTION, half, 0, "the temperature as it was read", "one more digit");
}

struct measure watched_end_a(const struct watched *watched, const struct run *run)
{
    const double *a = watched->a;
    double last = NAN, sum = 0, square = 0, half = 0, n = 0;
    size_t from = watched_before(watched, run->end_s);
    if (!watched->by_eye && from > 2 && watched->t_s[from - 3] >= run->start_s) /* it may have caught the stop */
        from--;
    for (size_t k = from; k-- > 0 && n < LAST_READINGS && watched->t_s[k] >= run->start_s;) {
        if (a == NULL || !isfinite(a[k]))
            continue;
        last = isnan(last) ? fabs(a[k]) : last;
        if (fabs(fabs(a[k]) - last) > (1 - CAUGHT) * last) /* another load */
            break;
        sum += fabs(a[k]);
        square += a[k] * a[k];
        half = fmax(half, watched->half_a != NULL ? watched->half_a[k] : 0);
        n++;
    }
    if (n == 0)
        return measure_unknown("no amps were read at its end");
    struct measure end = measure_of(sum / n);
    watched_add_amps(watched, end.value, half, &end);
    if (n > 2)
        measure_part(&end, (struct part){CAUSE_NOISE, SHAPE_T, sqrt(fmax(square - sum * sum / n, 0) / (n - 1) / n), n - 1, 0,
                                         "scatter of the last readings", ""});
    budget_close(&end);
    return end;
}

struct measure watched_duration(const struct watched *watched, double from_s, double to_s)
{
    if (!watched->timed)
        return measure_unknown("the readings have no clock in common");
    struct measure lasted = measure_of(to_s - from_s);
    double begin = watched_edge_s(watched, from_s), end = watched_edge_s(watched, to_s);
    const char *remedy = "read more often";
    add(&lasted, CAUSE_SAMPLING, isnan(begin) ? 0 : begin, 0, "when between two readings it began", remedy);
    add(&lasted, CAUSE_SAMPLING, isnan(end) ? 0 : end, 0, "when between two readings it ended", remedy);
    add(&lasted, CAUSE_CLOCK, watched->rig->clock * (to_s - from_s), rig_source(watched->rig, CHANNEL_VOLTAGE, ERROR_CLOCK),
        "the clock", "a better clock");
    budget_close(&lasted);
    return lasted;
}
