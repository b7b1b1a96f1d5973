/* What a meter shows of the truth.
 *
 * `instrument_make` says how large each error may be; `instrument_draw` picks one instrument of that
 * make, whose systematic errors then stay through the run; `instrument_read` samples the truth with
 * it. The meter is powered by the pack: below `needs_v` it shows nothing (NaN), and its tally freezes
 * or starts again when it comes back. The tally runs on the very current and volts that are shown,
 * so it shares their gain and offset; it has an offset of its own beside. */
#ifndef RUNDOWN_REHEARSAL_INSTRUMENT_H
#define RUNDOWN_REHEARSAL_INSTRUMENT_H

#include <stdbool.h>

#include "numeric/random.h"
#include "rehearsal/truth.h"

/* How an unknown error is spread: the standard uncertainty and the shape of quantity/measure.h, so that a
 * rectangular half-width a has u = a/sqrt(3). u 0: no error. */
struct spread {
    double u;
    enum shape shape;
};

/* How far a channel may be wrong. shown = true * (1 + gain) + offset + noise, then rounded. */
struct meter_channel_make {
    struct spread gain;   /* a part, not a percentage */
    struct spread offset; /* in the channel's unit */
    double noise;         /* standard deviation of each reading, the channel's unit */
    double digit;         /* last digit shown; 0: all digits */
};

enum tally_dark { TALLY_FREEZES, TALLY_RESTARTS };

struct instrument_make {
    struct meter_channel_make v, a, degc;
    struct spread clock;     /* a part: 50e-6 is 50 ppm */
    struct spread amp_lag_s; /* amps are of an instant so much earlier than the volts of the row */
    struct spread tally_offset_a;
    double tally_ah_digit, tally_wh_digit; /* the tally is cut off to whole digits, not rounded */
    enum tally_dark tally_dark;
    bool tally_of_means; /* Wh from volts and amps each averaged over the load's ripple */
    double average_s;    /* volts and amps are means over so long before the instant; 0: instants */
    double period_s;     /* a row each period, by the meter's own clock */
    double jitter_s;     /* rows come up to half of this early or late */
    double missing;      /* part of the rows that never arrive */
    double time_digit_s; /* time stamps are cut off to this; 0: all digits */
    double needs_v;      /* 0: powered from elsewhere, shows the dark as well */
    bool at_sensor;      /* its probe lies on the board's sensor, not on the case */
    double probe_s;      /* the probe's own lag, of first order; 0: none */
};

struct meter_channel {
    double gain, offset, noise, digit;
};

struct instrument {
    struct meter_channel v, a, degc;
    double clock, amp_lag_s, tally_offset_a;
    double begins_s;                    /* its first row, by its own clock; 0 where it was drawn without */
    const struct instrument_make *make; /* borrowed */
};

/* What was shown, row by row; times are the meter's. Set to zeros before first use, then used again:
 * the arrays (slices of one block, owned) are kept. NaN where nothing was shown. */
struct shown {
    size_t count, capacity;
    double *t_s, *v, *a, *degc, *tally_ah, *tally_wh;
    double *true_s; /* when the row was really taken */
};

void shown_free(struct shown *shown);

struct instrument instrument_draw(const struct instrument_make *make, struct random *random);

/* All rows from the start of the run to its end. */
void instrument_read(const struct instrument *instrument, const struct truth *truth, struct random *random,
                     struct shown *shown);

/* Decimals that show a last digit: 0.05 has two. Six for 0, where every digit is shown. */
int decimals_of_digit(double digit);

/* Only at the given true instants (rising), as a person looks now and then. */
void instrument_glance(const struct instrument *instrument, const struct truth *truth,
                       const double *instants_s, size_t count, struct random *random, struct shown *shown);

#endif
