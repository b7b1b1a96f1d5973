#include "claims/records.h"

#include "archive/stored.h"
#include "base/memory.h"
#include "battery/examine.h"
#include "intake/readings.h"

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
    const struct claim *charge_v = label_claim(label, CLAIM_CHARGE_VOLTAGE);
    asked.charge_v = charge_v != NULL ? charge_v->stated : NAN;
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
        record->direction = (struct direction){log->sign == SIGN_CHARGE_POSITIVE ? -1 : 1, 1,
                                               "the log says so in words, or whoever read it"};
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

static enum status examine_log(const struct assess_request *request, const struct rig *rig, const struct asked *asked,
                               struct record *record, struct assessment *assessment, struct message *message)
{
    assessment->invented |= record->log.invented;
    enum status status = orient(request, record, message);
    if (status != STATUS_OK)
        return status;
    status = examine_series(&record->log.series, rig, asked, &record->findings, &assessment->notices, message);
    if (status != STATUS_OK && message != NULL && message->file[0] == '\0')
        status_at(message, record->path, 0, 0);
    return status;
}

static enum status examine_typed(const struct rig *rig, const struct asked *asked, struct record *record,
                                 struct assessment *assessment, struct message *message)
{
    assessment->invented |= record->sightings.invented;
    enum status status =
        examine_sightings(&record->sightings, rig, asked, &record->findings, &assessment->notices, message);
    if (status != STATUS_OK && message != NULL && message->file[0] == '\0')
        status_at(message, record->path, 0, 0);
    return status;
}

static enum status read_file(const struct assess_request *request, struct record *record,
                             struct assessment *assessment, struct message *message)
{
    bool by_eye = strcmp(record->path, "-") != 0 && readings_look_like(record->path);
    if (!by_eye)
        return log_read(record->path, &request->log_options, &record->log, message);
    enum status status = readings_read(record->path, &record->sightings, &assessment->notices, message);
    record->by_eye = status == STATUS_OK;
    return status;
}

/* `rig` gets what joining the run's instruments adds to the skew of volts against amps. */
static enum status read_run(const struct assess_request *request, const struct paper *paper, struct record *record,
                            struct rig *rig, struct assessment *assessment, struct message *message)
{
    struct book_options options = {.access = BOOK_READ};
    struct book *book;
    struct stored stored;
    if (request->log_options.wish_count > 0 || request->log_options.period_s > 0) {
        status_fail(message, STATUS_USAGE, "--column and --period are for logs: the columns of a run are settled");
        status_at(message, record->path, 0, 0);
        return status_remedy(message, "leave them out; to settle them otherwise, import the log once more");
    }
    enum status status = book_open(paper->book, &options, &book, message);
    if (status != STATUS_OK)
        return status;
    status = stored_read(book, paper->run, &stored, message);
    book_close(book);
    if (status != STATUS_OK)
        return status;
    record->by_eye = stored.by_eye;
    if (stored.by_eye)
        record->sightings = stored.sightings;
    else
        record->log = stored.log;
    for (size_t k = 0; k < stored.notices.count; k++)
        notices_add(&assessment->notices, stored.notices.items[k].topic, stored.notices.items[k].line, "%s",
                    stored.notices.items[k].text);
    notices_free(&stored.notices);
    rig->skew_s += stored.skew_s; /* an unknown one stays unknown */
    assessment->invented |= paper->invented;
    return STATUS_OK;
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

static enum status take_record(const struct assess_request *request, const struct paper *paper,
                               const struct asked *asked, struct record *record, struct assessment *assessment,
                               struct message *message)
{
    struct rig rig = paper->rig;
    enum status status = paper->run != 0 ? read_run(request, paper, record, &rig, assessment, message)
                                         : read_file(request, record, assessment, message);
    if (status != STATUS_OK)
        return status;
    return record->by_eye ? examine_typed(&rig, asked, record, assessment, message)
                          : examine_log(request, &rig, asked, record, assessment, message);
}

enum status records_take(const struct assess_request *request, const struct paper *papers,
                         struct assessment *assessment, struct message *message)
{
    struct asked asked = asked_from(request, &assessment->label);
    assessment->records = memory_get((request->log_count + 1) * sizeof *assessment->records);
    for (size_t k = 0; k < request->log_count; k++) {
        struct record *record = &assessment->records[assessment->record_count++];
        snprintf(record->path, sizeof record->path, "%s", request->logs[k]);
        size_t before = assessment->notices.count;
        enum status status = take_record(request, &papers[k], &asked, record, assessment, message);
        if (status != STATUS_OK)
            return status;
        if (request->log_count > 1)
            name_log(record, &assessment->notices, before);
    }
    return STATUS_OK;
}
