#include "rehearsal/instrument.h"

#include "base/memory.h"

enum { SHOWN_ARRAYS = 7 };

void shown_free(struct shown *shown)
{
    free(shown->t_s);
    *shown = (struct shown){0};
}

static void begin(struct shown *shown, size_t rows)
{
    shown->count = 0;
    if (rows <= shown->capacity)
        return;
    double *block = memory_resize(shown->t_s, rows, SHOWN_ARRAYS * sizeof *block);
    *shown = (struct shown){0,
                            rows,
                            block,
                            block + rows,
                            block + 2 * rows,
                            block + 3 * rows,
                            block + 4 * rows,
                            block + 5 * rows,
                            block + 6 * rows};
}

static double draw(struct random *random, struct spread spread)
{
    return random_shape(random, spread.shape, spread.u, INFINITY);
}

static struct meter_channel draw_channel(const struct meter_channel_make *make, struct random *random)
{
    double gain = draw(random, make->gain);
    return (struct meter_channel){gain, draw(random, make->offset), make->noise, make->digit};
}

struct instrument instrument_draw(const struct instrument_make *make, struct random *random)
{
    struct instrument one = {.make = make};
    one.v = draw_channel(&make->v, random);
    one.a = draw_channel(&make->a, random);
    one.degc = draw_channel(&make->degc, random);
    one.clock = draw(random, make->clock);
    one.amp_lag_s = draw(random, make->amp_lag_s);
    one.tally_offset_a = draw(random, make->tally_offset_a);
    return one;
}

static double shown_as(const struct meter_channel *channel, double truth, struct random *random)
{
    double value = truth * (1 + channel->gain) + channel->offset;
    if (channel->noise > 0)
        value += channel->noise * random_normal(random);
    return channel->digit > 0 ? round(value / channel->digit) * channel->digit : value;
}

static double cut(double value, double digit)
{
    return digit > 0 ? trunc(value / digit) * digit : value;
}

/* A reader at work: where it stands in the truth, and what its tally has lived through. */
struct reader {
    const struct instrument *instrument;
    const struct truth *truth;
    size_t at, before, amp_at, amp_before;                        /* cursors */
    size_t felt;                                                  /* intervals the probe has lived through */
    double felt_s, probe_degc;                                    /* where it stands */
    size_t lived;                                                 /* intervals the tally has lived through */
    double live_s, live_volt_s;                                   /* up to there, dark stretches left out */
    double zero_s, zero_volt_s, zero_ah, zero_wh, zero_ripple_wh; /* where the tally last started */
};

static bool lit(const struct reader *reader, size_t interval)
{
    return reader->truth->intervals[interval].mid_v >= reader->instrument->make->needs_v;
}

/* Brings the tally up to `t_s`, which lies in interval `reader->at`. */
static void live_on(struct reader *reader)
{
    for (; reader->lived < reader->at; reader->lived++) {
        const struct truth_interval *k = &reader->truth->intervals[reader->lived];
        bool now = lit(reader, reader->lived), next = lit(reader, reader->lived + 1);
        if (now) {
            reader->live_s += k[1].t_s - k->t_s;
            reader->live_volt_s += k[1].volt_s - k->volt_s;
        }
        if (!now && next && reader->instrument->make->tally_dark == TALLY_RESTARTS) {
            reader->zero_s = reader->live_s;
            reader->zero_volt_s = reader->live_volt_s;
            reader->zero_ah = k[1].charge_ah;
            reader->zero_wh = k[1].energy_wh;
            reader->zero_ripple_wh = k[1].ripple_wh;
        }
    }
}

static double place_degc(const struct instrument *one, const struct truth_interval *k)
{
    return one->make->at_sensor ? k->sensor_degc : k->degc;
}

/* What the probe shows at `t_s`, which lies in interval `reader->at`: T' = (place - T) / lag, the place taken as
 * even through each interval. The probe begins as its place is. */
static double probe_degc(struct reader *reader, const struct truth_point *point, double t_s)
{
    const struct instrument *one = reader->instrument;
    double lag_s = one->make->probe_s, here = one->make->at_sensor ? point->sensor_degc : point->degc;
    if (lag_s <= 0)
        return here;
    const struct truth_interval *intervals = reader->truth->intervals;
    if (reader->felt_s == 0 && reader->felt == 0)
        reader->probe_degc = place_degc(one, intervals);
    for (; reader->felt < reader->at; reader->felt++) {
        const struct truth_interval *k = &intervals[reader->felt];
        double middle = (place_degc(one, k) + place_degc(one, k + 1)) / 2;
        reader->probe_degc = middle + (reader->probe_degc - middle) * exp(-(k[1].t_s - reader->felt_s) / lag_s);
        reader->felt_s = k[1].t_s;
    }
    return here + (reader->probe_degc - here) * exp(-(t_s - reader->felt_s) / lag_s);
}

/* The sums of (shown amps + tally offset) and of their product with shown volts, in closed form. */
static void tally(const struct reader *reader, const struct truth_point *point, double t_s, double *ret_ah,
                  double *ret_wh)
{
    const struct instrument *one = reader->instrument;
    const struct truth_interval *k = &reader->truth->intervals[reader->lived];
    double live_h = (reader->live_s + t_s - k->t_s - reader->zero_s) / 3600;
    double volt_h = (reader->live_volt_s + point->volt_s - k->volt_s - reader->zero_volt_s) / 3600;
    double ah = point->charge_ah - reader->zero_ah, wh = point->energy_wh - reader->zero_wh;
    if (one->make->tally_of_means)
        wh += point->ripple_wh - reader->zero_ripple_wh;
    double gain_a = 1 + one->a.gain, gain_v = 1 + one->v.gain;
    double offset_a = one->a.offset + one->tally_offset_a, offset_v = one->v.offset;
    double clock = 1 + one->clock;
    *ret_ah = cut(clock * (gain_a * ah + offset_a * live_h), one->make->tally_ah_digit);
    *ret_wh = cut(
        clock * (gain_v * (gain_a * wh + offset_a * volt_h) + offset_v * (gain_a * ah + offset_a * live_h)),
        one->make->tally_wh_digit);
}

static double mean_v(struct reader *reader, const struct truth_point *point, double t_s)
{
    double over_s = fmin(reader->instrument->make->average_s, t_s);
    if (over_s <= 0)
        return point->v;
    return (point->volt_s - truth_at(reader->truth, t_s - over_s, &reader->before).volt_s) / over_s;
}

static double mean_a(struct reader *reader, double t_s)
{
    struct truth_point point = truth_at(reader->truth, t_s, &reader->amp_at);
    double over_s = fmin(reader->instrument->make->average_s, t_s);
    if (over_s <= 0)
        return point.a;
    double before_ah = truth_at(reader->truth, t_s - over_s, &reader->amp_before).charge_ah;
    return (point.charge_ah - before_ah) * 3600 / over_s;
}

/* `meter_s` is by the meter's own clock. */
static void read_row(struct reader *reader, double meter_s, struct random *random, struct shown *shown)
{
    const struct instrument *one = reader->instrument;
    double t_s = meter_s / (1 + one->clock);
    struct truth_point point = truth_at(reader->truth, t_s, &reader->at);
    size_t i = shown->count++;
    shown->true_s[i] = t_s;
    shown->t_s[i] = cut(meter_s, one->make->time_digit_s);
    live_on(reader);
    if (!lit(reader, reader->at)) {
        shown->v[i] = shown->a[i] = shown->degc[i] = shown->tally_ah[i] = shown->tally_wh[i] = NAN;
        return;
    }
    shown->v[i] = shown_as(&one->v, mean_v(reader, &point, t_s), random);
    shown->a[i] = shown_as(&one->a, mean_a(reader, t_s - one->amp_lag_s), random);
    shown->degc[i] = shown_as(&one->degc, probe_degc(reader, &point, t_s), random);
    tally(reader, &point, t_s, &shown->tally_ah[i], &shown->tally_wh[i]);
}

int decimals_of_digit(double digit)
{
    int decimals = 0;
    for (double left = digit; decimals < 6 && fabs(left - round(left)) > 1e-6 * left; left *= 10)
        decimals++;
    return digit > 0 ? decimals : 6;
}

void instrument_read(const struct instrument *instrument, const struct truth *truth, struct random *random,
                     struct shown *shown)
{
    const struct instrument_make *make = instrument->make;
    struct reader reader = {.instrument = instrument, .truth = truth};
    double end_s = truth->intervals[truth->count].t_s * (1 + instrument->clock);
    size_t rows = (size_t)(fmax(end_s - instrument->begins_s, 0) / make->period_s) + 1;
    begin(shown, rows);
    for (size_t i = 0; i < rows; i++) {
        double meter_s = instrument->begins_s + (double)i * make->period_s;
        if (make->jitter_s > 0)
            meter_s = fmin(fmax(meter_s + make->jitter_s * (random_uniform(random) - 0.5), 0), end_s);
        if (make->missing == 0 || random_uniform(random) >= make->missing)
            read_row(&reader, meter_s, random, shown);
    }
}

void instrument_glance(const struct instrument *instrument, const struct truth *truth,
                       const double *instants_s, size_t count, struct random *random, struct shown *shown)
{
    struct reader reader = {.instrument = instrument, .truth = truth};
    begin(shown, count);
    for (size_t i = 0; i < count; i++)
        read_row(&reader, instants_s[i] * (1 + instrument->clock), random, shown);
}
