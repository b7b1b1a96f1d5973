/* Decide: each claim held against its finding.
 *
 * Five words. met and not met need the probability of conformity (conformity.h) and a test that
 * reached the claim's conditions; a pass under harsher conditions is a pass, a shortfall under
 * conditions the label does not state is 'too close to call' unless the effect of the conditions is
 * bounded and cannot turn it. not exercised: the test came near but did not reach the condition, and
 * `reason` says how far it got. not tested: nothing in the readings bears on it; then what the tester
 * noted on the label file under [measured], if anything, decides. */
#ifndef RUNDOWN_CLAIMS_DECIDE_H
#define RUNDOWN_CLAIMS_DECIDE_H

#include "battery/findings.h"
#include "claims/label.h"
#include "teardown/inspection.h"

enum verdict { VERDICT_MET, VERDICT_NOT_MET, VERDICT_TOO_CLOSE, VERDICT_NOT_EXERCISED, VERDICT_NOT_TESTED };
const char *verdict_name(enum verdict verdict); /* "met", "not met", "too close to call", … */

struct decision {
    const struct claim *claim; /* borrowed from the label */
    enum verdict verdict;
    struct measure measured;   /* unknown where there is none */
    double probability;        /* of conformity; NaN where it does not apply */
    bool conditions_open;      /* the value alone would decide; what the conditions may have done to it does not */
    double reached;            /* not exercised: how far the test got, in the claim's unit; NaN */
    char found[128];           /* at the rung: "101.3 ± 1.2 Ah", "96 A for 0:04:00" */
    char reason[320];          /* under the verdict, one or two sentences */
    char would_decide[240];    /* what would settle it, "" when settled */
    size_t record;             /* index of the record it rests on; SIZE_MAX: none */
};

/* The end of the claim that a value has to clear: of a claim 'about', the nearer one. */
double claim_limit(const struct claim *claim, double value);

/* One decision a claim, in the label's order. `findings` holds one entry a log. */
void decide_all(const struct label *label, const struct findings *findings, size_t count, const struct rig *rig,
                double decide, struct decision *ret_decisions);

/* Then those that stay 'not tested' and that the opened sample answers: cells counted in series, mass and sides. Never
 * an ingress code, which is found by tests and not by eye. */
void decide_opened(const struct inspection *inspection, const struct label *label, double decide, struct decision *decisions);

#endif
