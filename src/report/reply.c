#include "report/reply.h"

#include "base/nearest.h"
#include "base/number.h"
#include "report/explain.h"
#include "report/lines.h"

#include <stdint.h>

const struct decision *reply_find(const struct assessment *assessment, const char *claim)
{
    for (size_t k = 0; k < assessment->decision_count; k++) {
        const struct decision *d = &assessment->decisions[k];
        if (name_alike(span_of(claim), d->claim->slug) || name_alike(span_of(claim), d->claim->name))
            return d;
    }
    return NULL;
}

static void part(const char *heading, const char *words, int width, struct text *text)
{
    text_addf(text, "\n%s\n  ", heading);
    lines_wrap(words, 2, width, text);
}

static void say_result(const struct decision *d, int width, struct text *text)
{
    struct text line = TEXT_EMPTY;
    text_addf(&line, "%s.", verdict_name(d->verdict));
    if (d->found[0] != '\0')
        text_addf(&line, " Found: %s.", d->found);
    if (!isnan(d->probability) && d->verdict != VERDICT_NOT_EXERCISED)
        text_addf(&line, " Probability that the claim holds: %.3f.", d->probability);
    text_addf(&line, " %s.", d->reason);
    part("Result", text_string(&line), width, text);
    text_free(&line);
}

static void say_evidence(const struct assessment *assessment, const struct decision *d, int width, struct text *text)
{
    struct text line = TEXT_EMPTY;
    if (d->record == SIZE_MAX) {
        text_add(&line, d->verdict == VERDICT_NOT_TESTED ? "None: nothing was done that bears on it." : d->reason);
    } else {
        const struct record *record = &assessment->records[d->record];
        const struct findings *f = &record->findings;
        if (record->by_eye)
            text_addf(&line, "%zu instants read by eye (%s).", record->sightings.count, record->path);
        else
            text_addf(&line, "%zu readings, one every %.3g s (%s).", record->log.series.count, f->period_s, record->path);
        text_addf(&line, " Rig: %s; volts %s, amps %s.", assessment->rig.name,
                  assessment->rig.of[CHANNEL_VOLTAGE].as_printed, assessment->rig.of[CHANNEL_CURRENT].as_printed);
        if (f->has_test)
            text_addf(&line, " The discharge ended: %s.", ended_by_name(f->runs[f->test_last_run].ended.by));
        if (f->tally_ah.present)
            text_addf(&line, " %s", f->tally_ah.words);
    }
    part("Evidence", text_string(&line), width, text);
    text_free(&line);
}

static void say_doubt(const struct decision *d, int width, struct text *text)
{
    if (!measure_known(&d->measured) || d->measured.count == 0) {
        part("Largest doubt", measure_known(&d->measured) ? "The statement rests on what somebody saw." : d->measured.why,
             width, text);
        return;
    }
    int order[MEASURE_PARTS];
    double share[MEASURE_PARTS];
    budget_order(&d->measured, order, share);
    const struct part *p = &d->measured.parts[order[0]];
    char line[400];
    snprintf(line, sizeof line, "%s: %.0f %% of the variance.%s%s",
             p->what != NULL && p->what[0] != '\0' ? p->what : cause_name(p->cause), 100 * share[0],
             p->remedy != NULL && p->remedy[0] != '\0' ? " What would shrink it: " : "",
             p->remedy != NULL ? p->remedy : "");
    part("Largest doubt", line, width, text);
}

/* By how much the value would have to be wrong to change the verdict. */
static void say_overturn(const struct decision *d, int width, struct text *text)
{
    char line[500];
    const struct measure *m = &d->measured;
    if ((d->verdict == VERDICT_MET || d->verdict == VERDICT_NOT_MET) && measure_known(m) && m->count > 0 &&
        !isnan(d->claim->stated)) {
        double margin = d->claim->stated - m->value;
        char by[32], largest[200] = "";
        number_print(100 * fabs(margin / m->value), fabs(margin / m->value) * 10, by, sizeof by);
        int order[MEASURE_PARTS];
        double share[MEASURE_PARTS];
        budget_order(m, order, share);
        const struct part *p = &m->parts[order[0]];
        if (p->u != 0)
            snprintf(largest, sizeof largest, ", which is %.1f times the standard uncertainty of its largest contribution",
                     fabs(margin / p->u));
        snprintf(line, sizeof line,
                 "Evidence that the measured value is wrong by %s %% %s%s; or a repeat on a second sample or a better "
                 "rig that comes out on the other side. The readings are published: anybody can recompute this.",
                 by, margin > 0 ? "(too low)" : "(too high)", largest);
    } else if (d->would_decide[0] != '\0') {
        snprintf(line, sizeof line, "It is open as it stands. What would settle it: %s.", d->would_decide);
    } else {
        snprintf(line, sizeof line, "A test of it: this one says nothing either way.");
    }
    part("What would overturn it", line, width, text);
}

enum status reply_card(const struct assessment *assessment, const char *claim, int width, struct text *text,
                       struct message *message)
{
    const struct decision *d = reply_find(assessment, claim);
    if (d == NULL) {
        struct text list = TEXT_EMPTY;
        for (size_t k = 0; k < assessment->decision_count; k++)
            text_addf(&list, "%s%s", k > 0 ? ", " : "", assessment->decisions[k].claim->slug);
        status_fail(message, STATUS_USAGE, "the label holds no claim '%s'", claim);
        if (list.length > 0)
            status_remedy(message, "its claims are: %.400s", text_string(&list));
        else
            status_remedy(message, "give a label with --label");
        text_free(&list);
        return STATUS_USAGE;
    }
    text_addf(text, "%s%s\n%s: %s", assessment->invented ? "INVENTED DATA\n" : "", assessment->label.sample,
              d->claim->name, d->claim->as_stated);
    if (d->claim->where[0] != '\0')
        text_addf(text, " (%s)", d->claim->where);
    text_add(text, "\n");
    say_result(d, width, text);
    say_evidence(assessment, d, width, text);
    say_doubt(d, width, text);
    say_overturn(d, width, text);
    text_add(text, "\nOne sample is one sample.\n");
    return STATUS_OK;
}
