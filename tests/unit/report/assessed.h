/* Assessments for the tests of reports: the demo's, and ones by hand in which much is unknown or hostile. */
#ifndef RUNDOWN_TESTS_REPORT_ASSESSED_H
#define RUNDOWN_TESTS_REPORT_ASSESSED_H

#include "base/memory.h"
#include "claims/assessment.h"
#include "numeric/budget.h"

#include "check.h"

#define HOSTILE "<script>alert(\"1\")</script> & 'x' \xff\xfe \x07"

static inline struct assessment assessed(const char *log, const char *label, const char *rig)
{
    struct assessment assessment = {0};
    struct message message = {0};
    const char *logs[] = {log};
    struct assess_request request = {.logs = logs, .log_count = 1, .label = label, .rig = rig};
    enum status status = assess(&request, &assessment, &message);
    CHECK(status == STATUS_OK);
    CHECK_TEXT(message.what, "");
    return assessment;
}

static inline struct assessment assessed_demo(void)
{
    return assessed("demo/hut-pack.log.csv", "demo/hut-pack.label", "demo/hut-pack.rig");
}

/* A claim of each verdict in turn, with names and reasons that do harm where they are not escaped, numbers that
 * are not finite, and no readings at all. Free it with made_free. */
static inline struct assessment made(size_t claims)
{
    struct assessment made = {.decide = 0.975, .has_label = true, .invented = true};
    made.label = label_empty();
    snprintf(made.label.sample, sizeof made.label.sample, "%s", HOSTILE);
    snprintf(made.label.description, sizeof made.label.description, "%s", HOSTILE);
    made.label.claims = memory_get((claims + 1) * sizeof *made.label.claims);
    made.label.claim_count = claims;
    made.decisions = memory_get((claims + 1) * sizeof *made.decisions);
    made.decision_count = claims;
    static const double values[] = {101.7, NAN, INFINITY, -INFINITY, 0, 1e300, -41.3};
    static const enum quantity quantities[] = {QUANTITY_CHARGE, QUANTITY_TEMPERATURE, QUANTITY_NONE, QUANTITY_MASS};
    for (size_t k = 0; k < claims; k++) {
        struct claim *claim = &made.label.claims[k];
        *claim = (struct claim){.kind = CLAIM_YES_NO, .sense = (enum sense)(k % 4), .quantity = quantities[k % 4],
                                .stated = values[(k / 2) % 7], .tolerance = values[(k / 3) % 7], .rate_it = NAN,
                                .degc = NAN, .cut_off_v = NAN, .duration_s = NAN};
        snprintf(claim->name, sizeof claim->name, "claim %zu of many with a long name that has to wrap", k);
        snprintf(claim->slug, sizeof claim->slug, "%s", k % 2 == 0 ? "same" : HOSTILE);
        snprintf(claim->as_stated, sizeof claim->as_stated, "%s", HOSTILE);
        struct decision *d = &made.decisions[k];
        *d = (struct decision){.claim = claim, .verdict = (enum verdict)(k % 5), .measured = measure_unknown("nothing"),
                               .probability = values[k % 7], .reached = values[(k + 1) % 7], .record = SIZE_MAX};
        if (k % 3 != 0) {
            d->measured = measure_of(values[(k + 2) % 7]);
            measure_part(&d->measured, (struct part){.shape = SHAPE_RECTANGULAR, .u = 0.83, .dof = INFINITY, .what = "gain"});
            budget_close(&d->measured);
        }
        snprintf(d->found, sizeof d->found, "%.*s", (int)(k % 2) * 120,
                 "a finding so long that no axis holds it on one line and it has to be set in several of them, however it is");
        snprintf(d->reason, sizeof d->reason, "%s and why it is so, in words that take more than a line or two", HOSTILE);
    }
    return made;
}

static inline void made_free(struct assessment *made)
{
    free(made->decisions);
    free(made->records);
    label_free(&made->label);
    notices_free(&made->notices);
}

#endif
