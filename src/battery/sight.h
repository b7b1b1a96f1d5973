/* Sight: the working form of readings taken by eye, shared by the sight_… files of this folder.
 *
 * A sight is one instant with the bounds that its words allow for each quantity. Sights that carry values
 * (and the instants at which the meter was dark or the load gone) are nodes. Between two nodes lies a leg,
 * or two legs where the load changed between them: within a leg one load stood, and the load law carries
 * the current along the volts. Nothing is invented within a leg: what its ends leave open is kept as the
 * half-width of its mean current and mean power.
 *
 * Amps are positive when they leave the sample. at_s is the course's own clock: the typed time where
 * all nodes share one, else a nominal time laid out along the order, of which only the charge between
 * tallies is sure. Indices called node point into course.node, and node[k] into course.sight. */
#ifndef RUNDOWN_BATTERY_SIGHT_H
#define RUNDOWN_BATTERY_SIGHT_H

#include "battery/amounts.h"
#include "battery/findings.h"

#include <stdint.h>

/* A mark is put within so long of what it tells, unless readings beside it say closer. Common
 * practice, no source. */
#define MARK_SLACK_S 60.0

/* What the words of a mark say has just happened, as bits. */
enum says {
    SAYS_LOAD_ON = 1 << 0,
    SAYS_LOAD_OFF = 1 << 1, /* somebody switched it off */
    SAYS_GAVE_UP = 1 << 2,  /* the load or inverter did */
    SAYS_BURST = 1 << 3,
    SAYS_BURST_OFF = 1 << 4,
    SAYS_CUT_OFF = 1 << 5,
    SAYS_DARK = 1 << 6, /* a state, not an event: it may have lasted */
    SAYS_CHARGER_ON = 1 << 7,
    SAYS_CHARGER_OFF = 1 << 8,
    SAYS_FULL = 1 << 9,
    SAYS_RESTED = 1 << 10,
    SAYS_WOKEN = 1 << 11,
    SAYS_TALLY_ZERO = 1 << 12,
};
#define SAYS_EVENT                                                                                          \
    (SAYS_LOAD_ON | SAYS_LOAD_OFF | SAYS_GAVE_UP | SAYS_BURST | SAYS_BURST_OFF | SAYS_CUT_OFF |            \
     SAYS_CHARGER_ON | SAYS_CHARGER_OFF)

enum state { STATE_UNKNOWN, STATE_REST, STATE_DISCHARGE, STATE_CHARGE, STATE_DARK };

/* One quantity at one instant. */
struct seen {
    double value;  /* middle of the bounds; NaN: not seen, or bounded on one side only */
    double lo, hi; /* NaN: not seen */
    double digit;
    bool hedged;
};

struct sight {
    size_t instant; /* in the sightings */
    int clock;      /* sights of one clock share its times; -1: no time */
    double t_s, t_half_s;
    double at_s, at_half_s;
    struct seen of[CHANNELS];
    struct seen amps; /* from A, else from W and V */
    unsigned says;
    enum state state;
};

enum { LAWS = 3, NO_NODE = -1 };

/* The load of one class of phases under one law: I = k·V^n. Uncertainties as fractions of k. */
struct level {
    double k, u;
    double wander; /* standard deviation of the load itself from reading to reading */
};

struct load_class {
    struct level level[LAWS];
    const char *unknown; /* why the level is not known; NULL when it is */
    bool from_tally;     /* no amps were read; a tally and a clock gave the mean */
};

struct leg {
    long a, b;     /* nodes at its ends; NO_NODE: a step or an edge, where nothing was read */
    size_t phase;
    double duration_s;
    bool timed;    /* the duration is from one clock */
    bool bounded;  /* it is, or follows from tallies, or from the volts on their way to empty */
    double longest_s; /* what the volts on their way to empty allow a leg that ends a discharge */
    double open_s; /* half-width of a duration that nothing but these volts bounds */
    double split_s; /* and of what the charge between tallies leaves open, told once for the legs between */
    double amps[LAWS], watts[LAWS]; /* means, in the middle of what is possible; magnitudes */
    double amps_half[LAWS], watts_half[LAWS];
    double v_lo, v_hi; /* bounds of the mean volts; NaN without volts */
};

/* Where the load changed, between two nodes, or before the first and after the last. */
struct change {
    long before, after; /* nodes; NO_NODE at the ends */
    long leg_before, leg_after; /* NO_NODE where nothing flowed */
    double at_s, half_s;
    bool timed;
    bool told; /* by a mark, so that it is no more likely at the ends of what is possible */
};

struct course {
    const struct sightings *sightings;
    const struct rig *rig;
    const struct asked *asked;
    struct notices *notices;
    struct sight *sight;
    size_t sight_count;
    size_t *node;
    size_t node_count;
    size_t *phase_of; /* of each node; SIZE_MAX when nothing flowed */
    struct seen *volts; /* of each node, as seen or as its neighbours bound them */
    size_t *position;   /* of each node: how many legs lie before it */
    size_t *class_of;   /* of each phase */
    struct load_class *load;
    size_t class_count;
    double exponent[LAWS]; /* the laws that stand: one when it is known */
    int laws;
    struct leg *leg;
    size_t leg_count;
    struct change *change;
    size_t change_count;
    double cells; /* in series; NaN unknown */
    struct ripple ripple; /* of discharges */
    struct findings *findings;
};

static inline const struct sight *course_node(const struct course *course, size_t k)
{
    return &course->sight[course->node[k]];
}

static inline bool is_seen(const struct seen *seen)
{
    return !isnan(seen->value);
}

static inline double seen_half(const struct seen *seen)
{
    return (seen->hi - seen->lo) / 2;
}

void course_free(struct course *course);

#endif
