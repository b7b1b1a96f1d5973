#include "claims/assessment.h"

#include "base/memory.h"
#include "battery/examine.h"
#include "claims/plan.h"
#include "claims/rates.h"
#include "claims/recompute.h"
#include "claims/summary.h"
#include "intake/readings.h"
#include "intake/rig_file.h"

#include <stdint.h>

static const double decide_default = 0.975; /* on either side: 'met' is a 95 % interval that clears the claim */

static void ask_cut_off(struct asked *asked, double cut_off_v)
{
    if (isnan(cut_off_v) || asked->cut_offs == ASKED_CUT_OFFS)
        return;
    for (int k = 0; k < asked->cut_offs; k++)
        if (fabs(asked->cut_off_v[k] - cut_off_v) < 1e-9)
            return;
    asked->cut_off_v[asked->cut_offs++] = cut_off_v;
}

static struct asked asked_from(const struct assess_request *request, const struct label *label)
{
    struct asked asked = asked_nothing();
    for (int k = 0; k < request->cut_off_count; k++)
        ask_cut_off(&asked, request->cut_offs[k]);
    for (size_t k = 0; k < label->claim_count; k++)
        ask_cut_off(&asked, label->claims[k].cut_off_v);
    ask_cut_off(&asked, label->cut_off_v);
    asked.rated_ah = label->rated_ah;
    asked.rated_wh = label->rated_wh;
    asked.continuous_a = label->continuous_a;
    asked.peak_a = label->peak_a;
    asked.cells = label->cells;
    asked.lithium_iron_phosphate = label->lithium_iron_phosphate;
    asked.law = request->law;
    return asked;
}

/* Which way the current runs: as asked, as the log says, or as the volts tell. */
static enum status orient(const struct assess_request *request, struct record *record,
                          struct message *message)
{
    struct log *log = &record->log;
    if (request->sign != 0) {
        record->direction = (struct direction){request->sign, 1, "asked for with --current"};
    } else if (log->sign != SIGN_NOT_STATED) {
        record->direction = (struct direction){log->sign == SIGN_CHARGE_POSITIVE ? -1 : 1, 1, "the log says so in words"};
    } else if (log->series.column[CHANNEL_CURRENT] == NULL && log->series.column[CHANNEL_POWER] == NULL) {
        status_fail(message, STATUS_UNREADABLE, "the log holds neither amps nor watts: there is nothing to add up");
        status_at(message, log->path, 0, 0);
        return status_remedy(message, "name the column that holds them, as in --column current=3, if there is one");
    } else {
        struct trace trace;
        if (!trace_of_series(&log->series, &trace))
            return status_fail(message, STATUS_LIMIT, "not enough memory for %zu readings", log->series.count);
        record->direction = direction_find(&trace);
        trace_free(&trace);
    }
    if (record->direction.sign == 0) {
        status_fail(message, STATUS_AMBIGUOUS, "which sign of the current leaves the sample cannot be told: %s",
                    record->direction.why);
        status_at(message, log->path, 0, 0);
        return status_remedy(message, "say `--current discharge-positive` or `--current charge-positive`");
    }
    direction_apply(&log->series, record->direction.sign);
    return STATUS_OK;
}

static enum status take_log(const struct assess_request *request, const struct rig *rig, const struct asked *asked,
                            struct record *record, struct assessment *assessment, struct message *message)
{
    enum status status = log_read(record->path, &request->log_options, &record->log, message);
    if (status != STATUS_OK)
        return status;
    assessment->invented |= record->log.invented;
    status = orient(request, record, message);
    if (status != STATUS_OK)
        return status;
    status = examine_series(&record->log.series, rig, asked, &record->findings, &assessment->notices, message);
    if (status != STATUS_OK && message != NULL && message->file[0] == '\0')
        status_at(message, record->path, 0, 0);
    return status;
}

static enum status take_sightings(const struct rig *rig, const struct asked *asked, struct record *record,
                                  struct assessment *assessment, struct message *message)
{
    record->by_eye = true;
    enum status status = readings_read(record->path, &record->sightings, &assessment->notices, message);
    if (status != STATUS_OK)
        return status;
    assessment->invented |= record->sightings.invented;
    status = examine_sightings(&record->sightings, rig, asked, &record->findings, &assessment->notices, message);
    if (status != STATUS_OK && message != NULL && message->file[0] == '\0')
        status_at(message, record->path, 0, 0);
    return status;
}

/* Among several logs a notice says which one it is of. */
static void name_log(const struct record *record, struct notices *notices, size_t from)
{
    const char *slash = strrchr(record->path, '/'), *file = slash != NULL ? slash + 1 : record->path;
    for (size_t k = from; k < notices->count; k++) {
        struct text text = TEXT_EMPTY;
        text_addf(&text, "%s: %s", file, notices->items[k].text);
        free(notices->items[k].text);
        notices->items[k].text = text.s;
    }
}

static enum status take_records(const struct assess_request *request, struct assessment *assessment,
                                struct message *message)
{
    struct asked asked = asked_from(request, &assessment->label);
    assessment->records = memory_get(request->log_count * sizeof *assessment->records);
    for (size_t k = 0; k < request->log_count; k++) {
        struct record *record = &assessment->records[assessment->record_count++];
        snprintf(record->path, sizeof record->path, "%s", request->logs[k]);
        size_t before = assessment->notices.count;
        bool by_eye = strcmp(record->path, "-") != 0 && readings_look_like(record->path);
        enum status status = by_eye ? take_sightings(&assessment->rig, &asked, record, assessment, message)
                                    : take_log(request, &assessment->rig, &asked, record, assessment, message);
        if (status != STATUS_OK)
            return status;
        if (request->log_count > 1)
            name_log(record, &assessment->notices, before);
    }
    return STATUS_OK;
}

/* Where a fault lies in the label or the rig, say so before a long log is read. */
static enum status take_papers(const struct assess_request *request, struct assessment *assessment,
                               struct message *message)
{
    assessment->label = label_empty();
    assessment->rig = rig_default();
    enum status status = STATUS_OK;
    if (request->label != NULL) {
        status = label_read(request->label, &assessment->label, &assessment->notices, message);
        if (status != STATUS_OK)
            return status;
        assessment->has_label = true;
        assessment->invented |= assessment->label.invented;
        label_check(&assessment->label, &assessment->notices);
    }
    if (request->rig != NULL)
        status = rig_read(request->rig, &assessment->rig, &assessment->notices, message);
    else
        notices_add(&assessment->notices, "rig", 0,
                    "No rig file: wide defaults stand for the meters' accuracy (volts 1 %% + 2 digits, amps 2 %% + 2 "
                    "digits), and every interval rests on them.");
    return status;
}

static void compare(struct assessment *assessment)
{
    assessment->comparisons = memory_get((assessment->record_count + 1) * sizeof *assessment->comparisons);
    size_t first = SIZE_MAX;
    for (size_t k = 0; k < assessment->record_count; k++) {
        const struct findings *f = &assessment->records[k].findings;
        if (!f->has_test)
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

enum status assess(const struct assess_request *request, struct assessment *ret_assessment, struct message *message)
{
    struct assessment assessment = {.decide = request->decide > 0 ? request->decide : decide_default};
    enum status status = take_papers(request, &assessment, message);
    if (status == STATUS_OK)
        status = take_records(request, &assessment, message);
    if (status == STATUS_OK && request->plan != NULL)
        status = name_departures(request->plan, &assessment, message);
    if (status != STATUS_OK) {
        assessment_free(&assessment);
        return status;
    }
    assessment.peukert = rates_fit(assessment.records, assessment.record_count);
    compare(&assessment);
    decide(&assessment);
    summary_write(&assessment, assessment.summary, sizeof assessment.summary);
    struct text command = TEXT_EMPTY;
    recompute_command(request, &command);
    assessment.command = command.s;
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
