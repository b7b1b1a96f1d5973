/* Accuracy: what a maker prints about a meter, and what it means at a reading.
 *
 * `0.5 % + 3 digits` is a gain of 0.5 % and an offset of three steps of the last digit; `1 % of 100 A`
 * is an offset of 1 A; a shunt of class 0.5 is a gain of 0.5 % of its rated current, taken as an
 * error of slope. Bounds without a distribution are rectangular (GUM 4.3.7). Gain and offset are each
 * one unknown number for a whole test: fully correlated from reading to reading. */
#ifndef RUNDOWN_QUANTITY_ACCURACY_H
#define RUNDOWN_QUANTITY_ACCURACY_H

#include "quantity/channel.h"
#include "quantity/measure.h"

struct accuracy {
    double gain;        /* half-width, fraction of reading, of all terms that act as a slope */
    double shunt_gain;  /* half-width, fraction of reading, of a separate shunt or sensor; 0 if none */
    double offset;      /* half-width, own unit, not counting the digits */
    double digits;      /* half-width, in steps of the last digit: acts as an offset */
    double resolution;  /* one step of the last digit, own unit; 0: take it from the readings */
    bool stated;        /* false: Rundown's wide default, and every result says so */
    char as_printed[96]; /* the words of the rig file, or of the default */
};

/* One step of the last digit: as the rig states it, else as seen in the readings; 0 unknown. */
double accuracy_digit(const struct accuracy *accuracy, double seen);
/* Offset half-width at a resolution found from the data when the rig does not state one. */
double accuracy_offset(const struct accuracy *accuracy, double resolution);
/* Bound at a reading: |gain|·|reading| + offset; for printing and for planning. */
double accuracy_bound(const struct accuracy *accuracy, double reading, double resolution);

/* A rig: the instruments of a test and how they are wired. */
struct rig {
    char name[128];
    char path[256]; /* "" for the default rig */
    struct accuracy of[CHANNELS];
    double clock;            /* half-width, fraction (ppm × 1e-6) */
    double frame_s;          /* half-width of an instant read from film; 0 when not filmed */
    double averaging_s;      /* a meter's own averaging; 0 unknown */
    double skew_s;           /* half-width, volts against amps; NaN: unknown, taken as a sample */
    double lead_ohm;         /* between sample and voltmeter when not sensed at the terminals */
    double lead_halfwidth_ohm;
    bool sense_leads;        /* volts sensed at the terminals: lead_ohm does not count */
    double ripple;           /* rms of the load's ripple current over its mean; NaN: unknown */
    bool tally_shares_meter; /* the tally integrates the same shunt and divider (the usual case) */
    double probe_tau_s;      /* the temperature probe's own lag; NaN unknown */
    uint32_t identity;       /* non-zero; equal for runs on one rig, so that shared gains cancel */
};

/* The stated, wide default: named on every result that rests on it. 'common practice, no source'. */
struct rig rig_default(void);

/* Numbers a channel's unknown errors, for measure.source. */
enum error_kind { ERROR_GAIN, ERROR_SHUNT, ERROR_OFFSET, ERROR_CLOCK, ERROR_LEADS, ERROR_KINDS };
uint32_t rig_source(const struct rig *rig, enum channel channel, enum error_kind kind);

#endif
