/* Missing: what an assessment lacks before its verdicts can be defended against somebody who doubts them, what to do
 * about each, and how much that would help. Nothing is judged anew: it is read off the decisions, the findings and
 * their budgets. */
#ifndef RUNDOWN_CLAIMS_MISSING_H
#define RUNDOWN_CLAIMS_MISSING_H

#include "claims/assessment.h"

/* The first first. */
enum missing_weight {
    MISSING_BASIS,   /* without it there is nothing to publish */
    MISSING_OPEN,    /* a claim stays open for want of it */
    MISSING_DOUBT,   /* what was decided can be disputed for want of it */
    MISSING_BREADTH, /* would carry the verdict further */
};
const char *missing_weight_words(enum missing_weight weight); /* "leaves a claim open", … */

struct missing {
    enum missing_weight weight;
    size_t claim;    /* index of the decision that it is about; SIZE_MAX: the whole */
    char what[200];  /* what is missing, a sentence without its stop, likewise below */
    char next[360];  /* what to do next */
    char helps[280]; /* how much it would help, in numbers where there are any */
    double share;    /* 0…1: of the variance of what it bears on, where that can be told; NaN */
};

struct missing_list {
    struct missing *items; /* by weight, then by share, then in the order of the label */
    size_t count, capacity;
};

struct missing_list missing_find(const struct assessment *assessment);
void missing_free(struct missing_list *list);

#endif
