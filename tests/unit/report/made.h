/* An assessment made by hand, so that what an output says is known beforehand. */
#ifndef RUNDOWN_TESTS_MADE_H
#define RUNDOWN_TESTS_MADE_H

#include "check.h"

#include "claims/assessment.h"
#include "numeric/budget.h"

#include <stdint.h>

enum { MADE_MOST = 12 };

struct made {
    struct assessment assessment;
    struct decision decisions[MADE_MOST];
};

static inline struct measure made_measure(double value, double gain_half, double noise_u)
{
    struct measure m = measure_of(value);
    measure_part(&m, (struct part){.cause = CAUSE_NOISE, .shape = SHAPE_NORMAL, .u = noise_u, .dof = INFINITY, .what = "noise",
                                   .remedy = "longer averaging"});
    measure_part(&m, (struct part){.cause = CAUSE_GAIN_CURRENT, .shape = SHAPE_RECTANGULAR, .u = gain_half / sqrt(3),
                                   .dof = INFINITY, .source = 7, .what = "gain of the shunt", .remedy = "a better shunt"});
    budget_close(&m);
    return m;
}

/* The claims of the label's text, each not tested until the test says otherwise. */
static inline void made_start(struct made *made, const char *label)
{
    struct notices notices = {0};
    struct message message = {0};
    *made = (struct made){.assessment = {.decide = 0.975, .has_label = true, .rig = rig_default()}};
    CHECK(label_read_text("x.label", span_of(label), &made->assessment.label, &notices, &message) == STATUS_OK);
    CHECK_TEXT(message.what, "");
    notices_free(&notices);
    struct assessment *a = &made->assessment;
    a->decisions = made->decisions;
    a->decision_count = a->label.claim_count;
    CHECK(a->decision_count <= MADE_MOST);
    for (size_t k = 0; k < a->decision_count; k++)
        made->decisions[k] = (struct decision){.claim = &a->label.claims[k], .verdict = VERDICT_NOT_TESTED, .probability = NAN,
                                               .reached = NAN, .record = SIZE_MAX,
                                               .measured = measure_unknown("nothing in the readings bears on it")};
}

static inline void made_decide(struct made *made, size_t k, enum verdict verdict, struct measure measured, const char *found,
                               const char *reason, const char *would_decide)
{
    struct decision *d = &made->decisions[k];
    d->verdict = verdict;
    d->measured = measured;
    snprintf(d->found, sizeof d->found, "%s", found);
    snprintf(d->reason, sizeof d->reason, "%s", reason);
    snprintf(d->would_decide, sizeof d->would_decide, "%s", would_decide);
}

static inline void made_end(struct made *made)
{
    label_free(&made->assessment.label);
    notices_free(&made->assessment.notices);
}

static inline bool has(const struct text *text, const char *part)
{
    bool found = strstr(text_string(text), part) != NULL;
    if (!found)
        CHECK_TEXT(text_string(text), part);
    return found;
}

/* The characters of the longest line. */
static inline size_t longest_line(const char *s)
{
    size_t longest = 0;
    while (*s != '\0') {
        char line[1000];
        size_t n = strcspn(s, "\n");
        span_copy((struct span){s, n}, line, sizeof line);
        size_t width = text_width(line);
        longest = width > longest ? width : longest;
        s += n + (s[n] == '\n');
    }
    return longest;
}

#endif
