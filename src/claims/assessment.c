#include "claims/assessment.h"

#include "archive/stored.h"
#include "base/memory.h"
#include "claims/contradictions.h"
#include "claims/full_before.h"
#include "claims/plan.h"
#include "claims/rates.h"
#include "claims/recompute.h"
#include "claims/records.h"
#include "claims/summary.h"
#include "claims/usual_limits.h"

#include <stdint.h>

static const double decide_default = 0.975; /* on either side: 'met' is a 95 % interval that clears the claim */

/* Of two tests one of which was shown not to be full the difference says nothing. */
static void compare(struct assessment *assessment)
{
    assessment->comparisons = memory_get((assessment->record_count + 1) * sizeof *assessment->comparisons);
    size_t first = SIZE_MAX;
    for (size_t k = 0; k < assessment->record_count; k++) {
        const struct findings *f = &assessment->records[k].findings;
        if (!f->has_test || f->full_before == 0)
            continue;
        if (first == SIZE_MAX) {
            first = k;
            continue;
        }
        const struct findings *base = &assessment->records[first].findings;
        assessment->comparisons[assessment->comparison_count++] =
            (struct comparison){first, k, difference_of(&f->test_ah, &base->test_ah, "Ah"),
                                difference_of(&f->test_wh, &base->test_wh, "Wh")};
    }
}

static void decide(struct assessment *assessment)
{
    assessment->decision_count = assessment->label.claim_count;
    assessment->decisions = memory_get((assessment->decision_count + 1) * sizeof *assessment->decisions);
    struct findings *all = memory_get((assessment->record_count + 1) * sizeof *all);
    for (size_t k = 0; k < assessment->record_count; k++)
        all[k] = assessment->records[k].findings; /* shallow: borrowed for the call */
    decide_all(&assessment->label, all, assessment->record_count, &assessment->rig, assessment->decide,
               assessment->decisions);
    if (assessment->has_opened)
        decide_opened(&assessment->inspection, &assessment->label, assessment->decide, assessment->decisions);
    free(all);
}

static enum status name_departures(const char *path, struct assessment *assessment, struct message *message)
{
    struct plan plan;
    enum status status = plan_read(path, &plan, message);
    const struct record *main = assessment_main(assessment);
    if (status == STATUS_OK && assessment->record_count > 0)
        plan_departures(&plan, assessment->label.sample, main != NULL ? &main->findings : &assessment->records[0].findings,
                        &assessment->notices);
    return status;
}

/* Without --plan the book's own holds, for the discharge that it was made for. A plan that somebody typed and that
 * cannot be read is a notice: readings are not lost for it. */
static enum status name_departures_kept(struct assessment *assessment, struct message *message)
{
    const struct record *main = assessment_main(assessment);
    struct text text = TEXT_EMPTY;
    struct book_options options = {.access = BOOK_READ};
    struct book *book = NULL;
    struct plan plan;
    struct message fault;
    char path[1024], name[128] = "";
    int64_t run = 0;
    if (main == NULL || !stored_name(main->path, path, sizeof path, &run))
        return STATUS_OK;
    enum status status = book_open(path, &options, &book, message);
    if (status == STATUS_OK)
        status = stored_plan_read(book, run, &text, name, message);
    book_close(book);
    if (status == STATUS_OK && text.length > 0) {
        if (plan_read_text(name, (struct span){text.s, text.length}, &plan, &fault) == STATUS_OK)
            plan_departures(&plan, assessment->has_label ? assessment->label.sample : plan.sample, &main->findings,
                            &assessment->notices);
        else
            notices_add(&assessment->notices, "plan", 0, "The book's plan cannot be read: %s.", fault.what);
    }
    text_free(&text);
    return status;
}

static void say_usual(struct assessment *assessment)
{
    for (size_t k = 0; k < assessment->record_count; k++) {
        struct record *record = &assessment->records[k];
        const char *slash = strrchr(record->path, '/');
        usual_limits_say(&assessment->label, assessment->decide, &record->findings);
        usual_limits_mind(&assessment->label, &record->findings, slash != NULL ? slash + 1 : record->path, &assessment->notices);
    }
}

enum status assess(const struct assess_request *request, struct assessment *ret_assessment, struct message *message)
{
    struct assessment assessment = {.decide = request->decide > 0 ? request->decide : decide_default,
                                    .invented = request->invented};
    struct paper *papers = NULL;
    /* where a fault lies in the label or the rig, it is said before a long log is read */
    enum status status = papers_take(request, &assessment, &papers, message);
    if (status == STATUS_OK)
        status = records_take(request, papers, &assessment, message);
    free(papers);
    if (status == STATUS_OK && request->plan != NULL)
        status = name_departures(request->plan, &assessment, message);
    else if (status == STATUS_OK)
        status = name_departures_kept(&assessment, message);
    if (status != STATUS_OK) {
        assessment_free(&assessment);
        return status;
    }
    full_before_across(&assessment);
    assessment.peukert = rates_fit(assessment.records, assessment.record_count);
    compare(&assessment);
    decide(&assessment);
    say_usual(&assessment);
    contradictions_find(&assessment);
    summary_write(&assessment, assessment.summary, sizeof assessment.summary);
    struct text command = TEXT_EMPTY;
    recompute_command(request, &command);
    assessment.command = command.s;
    struct text opinion = TEXT_EMPTY;
    if (request->opinion.p != NULL)
        text_add_bytes(&opinion, request->opinion.p, request->opinion.n);
    assessment.opinion = opinion.s;
    *ret_assessment = assessment;
    /* the decisions borrow the label's claims, whose array does not move with the struct */
    return STATUS_OK;
}

void assessment_free(struct assessment *assessment)
{
    for (size_t k = 0; k < assessment->record_count; k++) {
        struct record *record = &assessment->records[k];
        if (record->by_eye)
            sightings_free(&record->sightings);
        else
            log_free(&record->log);
        findings_free(&record->findings);
    }
    free(assessment->records);
    free(assessment->decisions);
    free(assessment->comparisons);
    label_free(&assessment->label);
    opened_free(&assessment->opened);
    inspection_free(&assessment->inspection);
    free(assessment->contradictions);
    free(assessment->opinion);
    notices_free(&assessment->notices);
    free(assessment->command);
    *assessment = (struct assessment){0};
}

const struct record *assessment_main(const struct assessment *assessment)
{
    const struct record *best = NULL;
    for (size_t k = 0; k < assessment->record_count; k++) {
        const struct record *record = &assessment->records[k];
        if (record->findings.has_test && measure_known(&record->findings.test_ah) &&
            (best == NULL || record->findings.test_ah.value > best->findings.test_ah.value))
            best = record;
    }
    return best;
}

size_t verdict_count(const struct assessment *assessment, enum verdict verdict)
{
    size_t count = 0;
    for (size_t k = 0; k < assessment->decision_count; k++)
        count += assessment->decisions[k].verdict == verdict;
    return count;
}

struct trip *assessment_trips(const struct assessment *assessment, size_t *ret_count)
{
    struct trip *all = NULL;
    size_t count = 0;
    for (size_t r = 0; r < assessment->record_count; r++) {
        const struct findings *f = &assessment->records[r].findings;
        all = memory_resize(all, count + f->trip_count + 1, sizeof *all);
        for (size_t k = 0; k < f->trip_count; k++)
            all[count++] = f->trips[k];
    }
    *ret_count = count;
    return all;
}
