/* Remaining: how much charge a lithium iron phosphate pack will have given when it stops, as a distribution.
 *
 * Two things are known. Before anything is seen: what packs turn out to hold beside their rating (`prior` in
 * remaining.c; common practice, no source, and wide). And of the curve: its slope and how far it has come down
 * from the plateau, both scaled by the fall from the plateau to the cut-off, as functions of the part r of the
 * charge that is left (tables in remaining.c). The tables are the resting curve of the published electrode
 * equations (positive: Afshar 2017, arXiv:1709.03970; negative: Prada et al. 2013, J. Electrochem. Soc. 160,
 * A616), and hold within their stated spread for discharges of real cells at 20 and 40 °C. On the plateau both are
 * next to flat and say only that the knee has not come; at the knee they decide.
 *
 * The end charge is a grid, denser towards the charge that has passed; each of its values is weighed by the
 * prior and by how well it goes with what was seen (Bayes). */
#ifndef RUNDOWN_BENCH_REMAINING_H
#define RUNDOWN_BENCH_REMAINING_H

#include <stdbool.h>

enum { REMAINING_GRID = 256 };

struct remaining_seen {
    double passed_ah;
    double rated_ah;  /* NaN: any capacity is as likely as any other */
    double cut_off_over_empty_v; /* a cell's cut-off less the volts at which it is empty; 0 when it goes on to there */
    double gain_u;    /* of the charge meter, a part: it blurs the rating */
    double plateau_v; /* volts of a cell under this load on the plateau, above the cut-off; NaN: nothing seen */
    double slope_v_per_ah, slope_u, slope_at_ah; /* by which the cell falls, positive; NaN none */
    double level_v, level_at_ah;                 /* of a cell above the cut-off; NaN none */
    bool settled;     /* the load has not changed of late: the level is to be trusted */
};

/* The end charge lies between edge k and edge k + 1 with probability share k, evenly. */
struct remaining {
    double edge_ah[REMAINING_GRID + 1], share[REMAINING_GRID];
};

void remaining_find(const struct remaining_seen *seen, struct remaining *ret_remaining);

/* Probability that the pack gives at least so much; and what it gives at least with probability 1 - p. */
double remaining_reaches(const struct remaining *remaining, double ah);
double remaining_quantile(const struct remaining *remaining, double p);

/* How far a cell still has to fall, as a part of its fall from the plateau, with the part r of its charge left;
 * and the mean of that over all that is left. */
double remaining_level(double r);
double remaining_mean_level(double r);
double remaining_left_at(double level); /* the part of the charge left at a level below 1 */

#endif
