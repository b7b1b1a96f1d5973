/* Ledger: what volts and amps add up to over any stretch of a trace, from one pass over it.
 *
 * The pass leaves one entry for every 2,048 readings; the sums of a stretch are the entries within it
 * and the few readings beyond them at either end, so that a question costs microseconds however long
 * the log is. Amps are positive when they leave the sample, so charge and energy are signed.
 *
 * Volts and amps are taken as straight between readings: charge by trapezia, energy by the exact
 * integral of the product. Beside the integrals stand the sums from which their uncertainty is told:
 *
 *   turns: products of neighbouring differences. White noise of variance s² gives -s² each, a drift or
 *     a lone step next to nothing, a random walk nothing.
 *   bends: what the integral changes when a reading is taken out, [h1·d2 - h2·d1]/2, with its square;
 *     noise gives bend_noise·s², a random walk of rate w² gives bend_weight·w² (h1·h2·(h1+h2)/4 each),
 *     a curve y'' gives y''·bend_weight in the plain sum.
 *   flats: stretches of readings that repeat to the digit share one rounding error, so the rounding of
 *     the integral goes with the squares of their lengths. */
#ifndef RUNDOWN_BATTERY_LEDGER_H
#define RUNDOWN_BATTERY_LEDGER_H

#include "numeric/integrate.h"
#include "quantity/series.h"

#include <stdbool.h>

struct scatter {
    double bend, bend2; /* unit·s, (unit·s)² */
    double turn;        /* unit² */
};

/* Of watts - volts·amps, for a fixed number of volts; bends of `both` are nothing. */
struct scatter scatter_less(const struct scatter *watts, const struct scatter *amps,
                            const struct scatter *both, double volts);

/* Lengths of the repeats of a stretch. The first and the last may go on outside it. */
struct flats {
    double head_s, tail_s; /* up to the first change, after the last; both the whole if unbroken */
    double square_s2;      /* of all between */
    double longest_s;
    bool unbroken;
};

struct sums {
    size_t intervals, bends;
    double duration_s;
    double charge_c, energy_j;        /* A·s, W·s */
    double volt_s, square_a2s;        /* of V, of A² */
    double width2_s2, width3_s3;      /* of the squares and cubes of the intervals */
    double longest_s;                 /* interval */
    struct scatter amps, watts, both; /* both: of the products of the two, for what combines them */
    double bend_weight, bend_noise;   /* s³, s² */
    double bend_weight2;              /* of the squares of the weights, s⁶ */
    struct flats flat_a, flat_v;
    double peak_a, low_v; /* largest magnitude, smallest volts of the readings */
};

struct ledger {
    const struct trace *trace; /* borrowed */
    struct sums *entries;
    size_t count;
};

/* False when memory does not allow it. */
bool ledger_init(struct ledger *ledger, const struct trace *trace);
void ledger_free(struct ledger *ledger);

/* From reading `first` to reading `last`, both within the trace, first <= last. Volts that the trace
 * lacks count as 0. */
struct sums ledger_sums(const struct ledger *ledger, size_t first, size_t last);

/* Adds the charge, energy and width of `seconds` during which reading k stood. */
void sums_hold(struct sums *sums, const struct trace *trace, size_t k, double seconds);
/* Takes out the bend and the turn at reading k, 0 < k < count - 1: a step stands beside it. */
void sums_unbend(struct sums *sums, const struct trace *trace, size_t k);
/* Adds a piece that begins with the reading at which `sums` ends; the corner between them is left out. */
void sums_append(struct sums *sums, const struct sums *piece);
/* Adds a stretch that does not touch. */
void sums_add(struct sums *sums, const struct sums *more);

/* Squares of all repeats, s², and the longest of them, s. */
double flats_square(const struct flats *flats);

/* The first reading of first…last that is at or below `volts`; `last + 1` when there is none. */
size_t ledger_falls_to(const struct ledger *ledger, size_t first, size_t last, double volts);

/* Where the charge (or the energy) that has left since reading `first` comes to `target`, A·s (W·s), by
 * reading `last`; false when it does not. */
bool ledger_reaches(const struct ledger *ledger, size_t first, size_t last, bool energy, double target,
                    struct place *ret_place);

#endif
