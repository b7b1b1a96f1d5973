/* Amounts: the charge, the energy, the mean volts and the duration of a stretch of readings, each with
 * its whole budget.
 *
 * A stretch goes from its start edge to its end edge. Where it borders on another current, the edge lies
 * in the middle of the interval in which the current changed, and the first and last readings stand up
 * to it: two neighbouring stretches together give the trapezoid between them. Where the log itself begins
 * or ends, so does the stretch, and nothing is added for what was not logged; but for a meter that went dark
 * with the sample (edges.h). Between readings volts and
 * amps are straight lines, but at a step, where they jump together in the middle of the interval.
 *
 * The budget (JCGM 100:2008), each part the sensitivity times the input's standard uncertainty:
 *   gain      of the meter and of a separate shunt, a fraction of the amount, rectangular, shared by all
 *             that the rig measured; it cancels in mean volts (current) and in differences
 *   offset    current: times duration for charge, times ∫V dt for energy; voltage: times charge
 *   noise     variance of a reading times the sum of squared intervals (see ledger.h)
 *   rounding  digit / √12 of each repeat of a reading, times its length
 *   sampling  curvature (trapezium rule: y''·h³/12 an interval) and wandering (a random walk between
 *             readings: w²·h³/12, the variance of a Brownian bridge's area), from the readings themselves
 *   steps     |ΔI| times half the interval it fell in, rectangular, each step on its own
 *   gaps      intervals that the log's clock does not give: from the least to the most they can be
 *   clock     a fraction of the amount
 *   leads     the drop between meter and terminals, r·∫I² dt, added to the energy
 *   ripple    the energy that the product of mean volts and mean amps overstates, R·σ_I² (V = V0 - R·I),
 *             taken off; σ_I within bounds, which may be one */
#ifndef RUNDOWN_BATTERY_AMOUNTS_H
#define RUNDOWN_BATTERY_AMOUNTS_H

#include "battery/ledger.h"
#include "battery/runs.h"
#include "quantity/accuracy.h"

/* What amounts rest on; everything borrowed. */
struct basis {
    const struct series *series;
    const struct trace *trace;
    const struct ledger *ledger;
    const struct rig *rig;
    const struct step *steps; /* in the order of time */
    size_t step_count;
    double noise_a, noise_v; /* for stretches too short to show their own; NaN unknown */
    struct ripple ripple;    /* of discharges; zeros: none */
};

/* Independent rectangular errors: the two widest by themselves, the others in quadrature. */
struct widths {
    double widest[2]; /* half-widths */
    double rest_u2;
};
void widths_add(struct widths *widths, double halfwidth);
void widths_join(struct widths *widths, const struct widths *more);
/* Parts of a measure in its own unit: each half-width times `factor`. */
void widths_part(const struct widths *widths, enum cause cause, double factor, const char *what,
                 const char *remedy, struct measure *measure);

/* What unknown instants leave open: in charge, energy, seconds, and in two of them together: the sums of their
 * products, over 3. */
struct openness {
    struct widths c, j, s;
    double cj_u2, cs_u2, js_u2;
};

/* What a stretch adds up to; signed, positive when it leaves the sample. */
struct throughput {
    struct sums sums;
    double shift_c, shift_j, shift_s; /* by which gaps move the middle */
    double discharge_a2s;             /* ∫A² dt of discharges, on which the load's ripple acts */
    struct openness steps, gaps;
    bool unbounded;      /* holds a gap that nothing bounds */
    size_t unbounded_at; /* reading after it */
};

/* The stretch first…last with its edges at start_s and end_s. */
struct throughput throughput_over(const struct basis *basis, size_t first, size_t last, double start_s,
                                  double end_s);
/* From reading `first`, with its edge, to a place within the through. */
struct throughput throughput_until(const struct basis *basis, size_t first, double start_s, struct place end);
void throughput_add(struct throughput *through, const struct throughput *more);

/* Measures, closed. `direction` +1 counts what left the sample, -1 what went in. Without a voltage
 * column energy and mean volts are unknown. */
struct measure throughput_charge_ah(const struct basis *basis, const struct throughput *through,
                                    int direction);
struct measure throughput_energy_wh(const struct basis *basis, const struct throughput *through,
                                    int direction);
struct measure throughput_mean_v(const struct basis *basis, const struct throughput *through);
/* Charge and energy over the duration; unknown for a stretch without any. */
struct measure throughput_mean_a(const struct basis *basis, const struct throughput *through, int direction);
struct measure throughput_mean_w(const struct basis *basis, const struct throughput *through, int direction);
struct measure throughput_duration_s(const struct basis *basis, const struct throughput *through);

#endif
