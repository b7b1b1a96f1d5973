/* Ahead: how long the load takes to draw the charge that is to come.
 *
 * I ∝ V^n, n as found so far with what is open about it; volts fall on as remaining.h has it, and what that
 * does to the current goes with n. A burst that the plan still has ahead is drawn at its own current, which is known
 * to 15 % beforehand (common practice, no source). */
#ifndef RUNDOWN_BENCH_AHEAD_H
#define RUNDOWN_BENCH_AHEAD_H

struct ahead {
    double from_s, from_ah;
    double load_a;              /* as it is, at these volts */
    double other_a;             /* the one before, which may come back; NaN: not thought of */
    double exponent, exponent_u;
    double fall_share;          /* fall from the plateau to the cut-off over the volts of a cell now; 0 unknown */
    double wander;              /* standard uncertainty of the mean load to come, a part */
    double burst_at_ah, burst_ah, burst_a; /* NaN: none ahead */
};

/* The instant at which `to_ah` have passed at `load_a`, if the pack stops at `end_ah`. */
double ahead_at_s(const struct ahead *ahead, double load_a, double to_ah, double end_ah);
/* Its standard uncertainty: from the law and how the volts fall, from the wander of the load, and from what the burst
 * will really draw. */
struct ahead_u {
    double law_s, wander_s, burst_s;
};
struct ahead_u ahead_u(const struct ahead *ahead, double to_ah, double end_ah);

#endif
