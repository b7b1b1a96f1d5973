/* Change points: where a noisy signal turns into another, out of a list of places where it might.
 *
 * The readings are cut so that the sum over segments of the residual sum of squares, plus a penalty a
 * cut, is least: optimal partitioning (Jackson et al. 2005, IEEE Signal Process. Lett. 12:105), exact,
 * with the pruning of PELT (Killick, Fearnhead & Eckley 2012, JASA 107:1590), which drops a segment
 * start as soon as it can never win again. A segment is a constant, or a straight line, so that a
 * steady drift needs no cut.
 *
 * Every live start keeps the centred moments of the segment from there to the place reached, and one
 * formula adds the stretch to the next candidate (Chan, Golub & LeVeque 1983, The American Statistician
 * 37:242): a cost takes constant time as with prefix sums, but nothing large is subtracted from
 * anything large, so a short segment late in a long log keeps its digits.
 *
 * Time: the readings once, then candidates times live starts. Where changes are common few starts live;
 * where there is none all do, so the caller keeps the candidates few. */
#ifndef RUNDOWN_NUMERIC_CHANGEPOINT_H
#define RUNDOWN_NUMERIC_CHANGEPOINT_H

#include <stddef.h>

enum segment_shape {
    SEGMENT_CONSTANT, /* t is not used and may be NULL */
    SEGMENT_LINE,     /* t ascends; readings of one instant are fine */
};

/* Number, means and centred sums of squares and products of a stretch of readings. */
struct moments {
    double n, t, y, tt, ty, yy;
};

/* Of n readings; t may be NULL when a constant is all that is asked for. */
struct moments moments_of(const double *t, const double *y, size_t n);
struct moments moments_join(struct moments a, struct moments b);
double moments_rss(const struct moments *moments, enum segment_shape shape); /* about the best segment */

/* A cut must lower the sum of squares by this: noise variance times log n (Schwarz 1978, Ann. Stat.
 * 6:461) times the number of unknowns a cut brings, its place and the new segment's coefficients. */
double changepoint_penalty(double noise_sd, size_t n, enum segment_shape shape);

struct changepoint_task {
    const double *t, *y;      /* free of NaN */
    size_t n;                 /* at least 1 */
    const size_t *candidates; /* ascending, within 1 … n - 1: a segment may begin at that reading */
    size_t candidate_count;
    enum segment_shape shape;
    double penalty;        /* in the square of the unit of y */
    size_t least_readings; /* of a segment; 0 and 1 mean no limit. With n below it no cut is made */
};

/* Scratch: the caller gives candidate_count + 2 of them. */
struct changepoint_node {
    double best;     /* least cost of the readings before this boundary */
    size_t previous; /* where the last segment of that cost begins, as a boundary */
    size_t start;    /* a live start, as a boundary */
    size_t beaten;   /* the boundary at which it was found inferior */
    double cost;     /* of a last segment from there */
    struct moments moments;
};

/* Writes the chosen candidates, ascending, into ret_changes (room for candidate_count), their number,
 * and the sum of squares about all segments. */
void changepoint_find(const struct changepoint_task *task, struct changepoint_node *work, size_t *ret_changes,
                      size_t *ret_count, double *ret_rss);

#endif
