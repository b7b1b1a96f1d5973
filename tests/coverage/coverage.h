/* Coverage: how often a stated 95 % interval holds the truth, and how wide it is beside that of an oracle.
 *
 * The oracle knows the distribution of the error: its interval has one half-width, that within which 95 %
 * of the errors of all trials lie. */
#ifndef RUNDOWN_TESTS_COVERAGE_H
#define RUNDOWN_TESTS_COVERAGE_H

#include "check.h"

#include "quantity/measure.h"

enum { COVERAGE_TRIALS = 2000 };

struct coverage {
    const char *name;
    int trials, held, unknown;
    double width; /* sum of stated half-widths */
    double error[COVERAGE_TRIALS];
};

static inline void coverage_add(struct coverage *coverage, const struct measure *measure, double truth)
{
    if (!measure_known(measure) || isnan(truth)) {
        coverage->unknown++;
        return;
    }
    coverage->held += measure->lo <= truth && truth <= measure->hi;
    coverage->width += (measure->hi - measure->lo) / 2;
    coverage->error[coverage->trials++] = fabs(measure->value - truth);
}

static inline int coverage_ascending(const void *a, const void *b)
{
    double x = *(const double *)a, y = *(const double *)b;
    return (x > y) - (x < y);
}

/* Share held, in percent. */
static inline double coverage_held(const struct coverage *coverage)
{
    return 100.0 * coverage->held / coverage->trials;
}

/* Mean stated width over the oracle's. Sorts the errors. */
static inline double coverage_width(struct coverage *coverage)
{
    qsort(coverage->error, (size_t)coverage->trials, sizeof *coverage->error, coverage_ascending);
    double oracle = coverage->error[(int)(0.95 * coverage->trials)];
    return coverage->width / coverage->trials / oracle;
}

/* Trials of unlike rigs and packs have no oracle of one width: the share alone, within the same aim. */
static inline void coverage_check_held(const struct coverage *coverage, const char *regime, int most_unknown)
{
    double held = coverage_held(coverage);
    printf("    %-10s %-22s held in %5.2f %% of %d, %d not told\n", regime, coverage->name, held, coverage->trials,
           coverage->unknown);
    CHECK(coverage->unknown <= most_unknown);
    CHECK(held >= 93.5 && held <= 96.5);
}

/* Prints both, and holds them against the aim: 93.5 to 96.5 % (2,000 trials of a true 95 % stay within
 * three standard deviations of that), at most 1.25 times the oracle's width. */
static inline void coverage_check(struct coverage *coverage, const char *regime)
{
    double held = coverage_held(coverage), width = coverage_width(coverage);
    printf("    %-10s %-22s held in %5.2f %% of %d, width %.3f of the oracle's%s\n", regime, coverage->name,
           held, coverage->trials, width, coverage->unknown > 0 ? ", some not told" : "");
    CHECK(coverage->unknown == 0);
    CHECK(held >= 93.5 && held <= 96.5);
    CHECK(width <= 1.25);
}

#endif
